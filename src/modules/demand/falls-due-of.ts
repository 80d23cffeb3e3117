import type { FallsDue } from '../../core/demand/demand-item';
import type { DueItem } from '../../core/due/due-item';
import type { LimitReason, Reasoning } from '../../core/due/reasoning';
import { PRECHARGE_HORIZON_DAYS } from '../../core/precharge/forecast-precharge';
import {
  addDays,
  earlierDate,
  fromEpochDay,
  laterDate,
  toEpochDay,
  type CalendarDate,
} from '../../core/shared/calendar-date';
import { normalQuantile } from '../../core/shared/statistics-normal';

type ConditionReason = Extract<LimitReason, { kind: 'condition'; dueAtProbability: number }>;

interface Quantiles {
  earliestOn: CalendarDate | null;
  medianOn: CalendarDate | null;
  latestOn: CalendarDate | null;
}

/**
 * When a stored due item falls due, as far as that is known; null where the forecasts do not reach that far.
 *
 * @param lastMeasuredOn day of the unit's last test or charge, which its forecast counts from
 */
export function fallsDueOf(
  item: Pick<DueItem, 'driver' | 'earliestOn' | 'dueOn' | 'latestOn'>,
  { limits }: Pick<Reasoning, 'limits'>,
  lastMeasuredOn: CalendarDate | null,
): FallsDue | null {
  const { dueOn, latestOn } = item;
  const earliestOn = item.earliestOn ?? dueOn;
  if (earliestOn === null) return null;
  if (dueOn !== null && earliestOn === dueOn && latestOn === dueOn) return { kind: 'fixed', on: dueOn };
  const condition = limits.find((limit): limit is ConditionReason => 'dueAtProbability' in limit);
  const byCondition =
    item.driver === 'condition' && condition !== undefined && condition.dueAtProbability !== 0.5;
  const quantiles = byCondition
    ? within(quantilesOf(condition), item)
    : { earliestOn, medianOn: dueOn, latestOn };
  const horizonOn = horizonOf(limits, lastMeasuredOn);
  const isOpen = quantiles.medianOn === null || quantiles.latestOn === null;
  // without an end of the forecast nothing can be said of what lies beyond it
  if (isOpen && horizonOn === null) return dueOn === null ? null : { kind: 'fixed', on: dueOn };
  return { kind: 'quantiles', ...ordered(quantiles), horizonOn };
}

/**
 * The 10, 50 and 90 % days of a crossing whose due day a rule sets at another probability: along straight lines in
 * the normal score between the days that are known.
 */
function quantilesOf({ dueAtProbability: due, earliestOn, dueOn, latestOn }: ConditionReason): Quantiles {
  const known: (readonly [score: number, on: CalendarDate | null])[] = [
    [SCORE_10, due > 0.1 ? earliestOn : null],
    [normalQuantile(due), dueOn],
    [-SCORE_10, due < 0.9 ? latestOn : null],
  ];
  const points = known.flatMap(([score, on]) => (on === null ? [] : [{ score, day: toEpochDay(on) }]));
  const at = (score: number): CalendarDate | null => {
    const after = Math.max(
      1,
      points.findIndex((point) => point.score >= score),
    );
    const [low, high] = [points[after - 1], points[after]];
    if (low === undefined || high === undefined) return null;
    const share = (score - low.score) / (high.score - low.score);
    return fromEpochDay(Math.ceil(low.day + share * (high.day - low.day)));
  };
  return {
    earliestOn: due >= 0.1 ? earliestOn : at(SCORE_10),
    medianOn: at(0),
    latestOn: due <= 0.9 ? latestOn : at(-SCORE_10),
  };
}

const SCORE_10 = normalQuantile(0.1);

// another limit of the rule may come before the condition's
function within(quantiles: Quantiles, { latestOn }: Pick<DueItem, 'latestOn'>): Quantiles {
  if (latestOn === null) return quantiles;
  const before = (on: CalendarDate | null): CalendarDate => earlierDate(on ?? latestOn, latestOn);
  return {
    earliestOn: before(quantiles.earliestOn),
    medianOn: before(quantiles.medianOn),
    latestOn: before(quantiles.latestOn),
  };
}

function ordered({ earliestOn, medianOn, latestOn }: Quantiles): Quantiles {
  if (earliestOn === null || medianOn === null) return { earliestOn, medianOn: null, latestOn: null };
  const median = laterDate(earliestOn, medianOn);
  return { earliestOn, medianOn: median, latestOn: latestOn === null ? null : laterDate(median, latestOn) };
}

function horizonOf(limits: readonly LimitReason[], lastMeasuredOn: CalendarDate | null): CalendarDate | null {
  const ends = limits.flatMap((limit) => {
    if ('projection' in limit && limit.projection.how === 'forecast') {
      const { from, horizonDays } = limit.projection;
      return addDays(from.on, Math.floor(horizonDays));
    }
    const isCondition = 'dueAtProbability' in limit && lastMeasuredOn !== null;
    return isCondition ? addDays(lastMeasuredOn, PRECHARGE_HORIZON_DAYS) : [];
  });
  return ends.reduce<CalendarDate | null>((last, end) => (last === null ? end : laterDate(last, end)), null);
}
