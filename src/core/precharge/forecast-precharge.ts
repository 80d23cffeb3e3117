import type { EpochDay } from '../shared/calendar-date';
import { InputError } from '../shared/input-error';
import { ATMOSPHERE_BAR } from '../shared/units-of-measure';
import { probabilityBelowAfter, yearsUntilBelow } from './crossing';
import { fitPrecharge, type PrechargeFit } from './fit-precharge';
import { DAYS_PER_YEAR, type LeftOutObservation, logPressure } from './flag-observations';
import type { PrechargeModel, PrechargeObservation } from './precharge-model';
import { studentHundredths } from './student-quantiles';

/** Ten years from the last observation: no service plan looks further. */
export const PRECHARGE_HORIZON_DAYS = 3_650;

/** Which limit, and how far ahead a date is still named. */
export interface PrechargeQuestion {
  readonly limit20BarGauge: number;
  /** Days after the last observation; `PRECHARGE_HORIZON_DAYS` unless given. */
  readonly horizonDays?: number;
}

/** When a unit falls below a limit, and what that was worked out from. */
export interface PrechargeOutlook {
  readonly limit20BarGauge: number;
  /**
   * First whole day on which the probability of being below the limit is 0.1, 0.5 and 0.9; null for none within
   * the horizon.
   */
  readonly earliestOn: EpochDay | null;
  readonly medianOn: EpochDay | null;
  readonly latestOn: EpochDay | null;
  /** Why there is no latest day: the loss may be nothing at all, or it takes longer than the horizon. */
  readonly openEnd: 'loss-not-told-from-zero' | 'beyond-horizon' | null;
  /** Day of the last observation that was used. */
  readonly knownUntil: EpochDay;
  /** The last observation that was used. */
  readonly lastMeasured: PrechargeObservation;
  /** Share of the absolute precharge that is lost in a year, with its 80 % interval; negative is a gain. */
  readonly lossPerYear: { readonly share: number; readonly low: number; readonly high: number };
  /** Ids, earliest first. */
  readonly used: readonly string[];
  readonly leftOut: readonly LeftOutObservation[];
  /**
   * Probability of being below the limit by day, never falling: its value on the last day known, and from there
   * the fractional day of every hundredth up to 0.99 or the horizon, and its value on the horizon.
   */
  readonly belowLimit: readonly { readonly day: EpochDay; readonly probability: number }[];
  /** For `estimateOn` and `probabilityBelow`, without fitting again. */
  readonly fit: PrechargeFit;
}

/**
 * When a unit falls below a precharge limit. A unit with nothing but a charge is forecast from its type.
 *
 * The days are those on which the gas, not a reading of it, is below the limit with a probability of 0.1, 0.5
 * and 0.9. A unit that is likely below already is so on the last day known. Where the loss may be nothing at all, the
 * probability never reaches 0.9 and there is no latest day; none is worked out.
 *
 * @param observations in any order; those of one day in the order in which they were made
 * @returns null without an observation
 * @throws InputError naming `precharge20BarGauge`, `limit20BarGauge` or `horizonDays`
 */
export function forecastPrecharge(
  observations: readonly PrechargeObservation[],
  model: PrechargeModel,
  question: PrechargeQuestion,
): PrechargeOutlook | null {
  const { limit20BarGauge, horizonDays = PRECHARGE_HORIZON_DAYS } = question;
  if (!(limit20BarGauge > -ATMOSPHERE_BAR && limit20BarGauge < Infinity)) {
    throw new InputError(
      'limit20BarGauge',
      `${limit20BarGauge} bar gauge is no limit`,
      'give bar gauge at 20 °C',
    );
  }
  if (!(horizonDays >= 0 && horizonDays < Infinity)) {
    throw new InputError('horizonDays', `${horizonDays} is no number of days`, 'give 0 or more days');
  }
  const fit = fitPrecharge(observations, model);
  if (!fit) return null;
  const { decay, lastMeasured } = fit;
  const quantiles = studentHundredths(decay.degreesOfFreedom);
  const logLimit = logPressure(limit20BarGauge);
  const knownUntil = lastMeasured.day;
  const dayOf = (hundredth: number): number | null => {
    const years = yearsUntilBelow(decay, logLimit, quantiles[hundredth - 1] as number);
    return years !== null && years * DAYS_PER_YEAR <= horizonDays ? knownUntil + years * DAYS_PER_YEAR : null;
  };
  const belowNow = probabilityBelowAfter(decay, logLimit, 0);
  const belowLimit = [{ day: knownUntil, probability: belowNow }];
  for (let hundredth = Math.floor(belowNow * 100) + 1; hundredth < 100; hundredth++) {
    const day = dayOf(hundredth);
    if (day === null) break;
    belowLimit.push({ day, probability: hundredth / 100 });
  }
  belowLimit.push({
    day: knownUntil + horizonDays,
    probability: Math.max(
      (belowLimit.at(-1) as { probability: number }).probability,
      probabilityBelowAfter(decay, logLimit, horizonDays / DAYS_PER_YEAR),
    ),
  });
  const reach = (quantiles[89] as number) * decay.scale;
  const latest = dayOf(90);
  const isTold = decay.loss * Math.sqrt(decay.lossPrecision) > reach;
  return {
    limit20BarGauge,
    earliestOn: wholeDay(dayOf(10)),
    medianOn: wholeDay(dayOf(50)),
    latestOn: wholeDay(latest),
    openEnd: latest !== null ? null : isTold ? 'beyond-horizon' : 'loss-not-told-from-zero',
    knownUntil,
    lastMeasured,
    lossPerYear: {
      share: -Math.expm1(-decay.loss),
      low: -Math.expm1(-(decay.loss - reach / Math.sqrt(decay.lossPrecision))),
      high: -Math.expm1(-(decay.loss + reach / Math.sqrt(decay.lossPrecision))),
    },
    used: fit.used.map(({ id }) => id),
    leftOut: fit.leftOut,
    belowLimit,
    fit,
  };
}

// A whole day that is missed by less than a tenth of a second was missed by the arithmetic.
function wholeDay(day: number | null): EpochDay | null {
  return day === null ? null : Math.ceil(day - 1e-6);
}
