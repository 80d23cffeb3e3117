import { EpochDay } from '../../../core/shared/calendar-date';
import { NamedRandom } from './named-random';
import { present } from './present';

/** How a unit really loses gas: what the logarithm of its absolute precharge has lost since its first day. */
export interface TrueDecay {
  firstDay: EpochDay;
  /** At the first day and every seven days after it; never falls. */
  logLoss: Float64Array;
}

const STEP_DAYS = 7;
const DAYS_PER_YEAR = 365.25;
// the rate wanders about the unit's own: heat, use and rest change how fast a diaphragm lets gas through
const WANDER_DAYS = 120;
const WANDER_SPREAD = 0.18;

/** Draws a unit's loss from a day on; `logLossPerYear` is its own mean. */
export function trueDecay(
  firstDay: EpochDay,
  untilDay: EpochDay,
  logLossPerYear: number,
  random: NamedRandom,
): TrueDecay {
  const steps = Math.ceil((untilDay - firstDay) / STEP_DAYS);
  const logLoss = new Float64Array(steps + 1);
  const keep = Math.exp(-STEP_DAYS / WANDER_DAYS);
  const step = WANDER_SPREAD * Math.sqrt(1 - keep * keep);
  let wander = random.deviate(0, WANDER_SPREAD);
  let lost = 0;
  for (let index = 1; index <= steps; index += 1) {
    wander = wander * keep + random.deviate(0, step);
    lost += ((logLossPerYear * STEP_DAYS) / DAYS_PER_YEAR) * Math.exp(wander - WANDER_SPREAD ** 2 / 2);
    logLoss[index] = lost;
  }
  return { firstDay, logLoss };
}

/** The loss until a day, which must lie within the decay. */
export function logLossUntil({ firstDay, logLoss }: TrueDecay, day: EpochDay): number {
  const place = (day - firstDay) / STEP_DAYS;
  const before = Math.floor(place);
  const from = present(logLoss[before], `loss of day ${day}`);
  const share = place - before;
  return share === 0 ? from : from + share * (present(logLoss[before + 1], `loss after day ${day}`) - from);
}

/** The same decay with a leak that opens on a day and has let out `extraLogLoss` more after some days. */
export function withLeak(
  { firstDay, logLoss }: TrueDecay,
  fromDay: EpochDay,
  days: number,
  extraLogLoss: number,
): TrueDecay {
  return {
    firstDay,
    logLoss: logLoss.map(
      (lost, index) => lost + (extraLogLoss * Math.max(0, firstDay + index * STEP_DAYS - fromDay)) / days,
    ),
  };
}
