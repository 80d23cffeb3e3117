import { assert } from '../shared/assert';
import type { EpochDay } from '../shared/calendar-date';
import { normalCdf, normalQuantile } from '../shared/statistics-normal';

/** Meters are read in these once a track is built: statute miles have become kilometres. */
export type MeterUnit = 'km' | 'h';

/**
 * Spread of a forecast at one look ahead: `c^2 * h`, the relative variance of the distance of the coming
 * `afterDays` = h days, times h.
 */
export interface SpreadKnot {
  readonly afterDays: number;
  readonly varianceDays: number;
}

/**
 * What a meter will show: a plain object that can be stored and read back.
 *
 * The total `h` days after the origin has the median `originTotal + ratePerDay * h`. The distance until
 * then is distributed as `ratePerDay * h * exp(2 asinh(c z / 2))` with `z` standard normal and `c` its
 * relative spread: never negative, and near the median as good as normal. (Birnbaum and Saunders, A new
 * family of life distributions, J. Appl. Prob. 6 (1969), 319-327.) A meter never runs backwards, so
 * "reached by day t" and "the total on day t is at least that" are one event: the day of reaching a
 * total, the first passage, needs no model of its own.
 */
export interface UsageForecast {
  readonly unit: MeterUnit;
  readonly originDay: EpochDay;
  readonly originTotal: number;
  readonly ratePerDay: number;
  /** By `afterDays` from 0; straight lines between and beyond. As `growingSpread` gives it. */
  readonly spread: readonly SpreadKnot[];
  /** Days after the origin beyond which nothing is said. */
  readonly horizonDays: number;
}

/** Ten years: no service plan looks further. */
export const FORECAST_HORIZON_DAYS = 3_650;

/**
 * A whole day may be missed by rounding of the arithmetic alone. A fractional day this little past a
 * whole one (less than a tenth of a second) counts as that day.
 */
export const WHOLE_DAY_TOLERANCE_DAYS = 1e-6;

/**
 * The total on a day that is not exceeded with the given probability: 0.5 is the median.
 *
 * On or before the origin: the total of the origin. Not decreasing in `day` nor in `probability`.
 *
 * @param probability strictly between 0 and 1
 */
export function totalAt(forecast: UsageForecast, day: number, probability: number): number {
  assert(probability > 0 && probability < 1, 'probability strictly between 0 and 1');
  const elapsedDays = day - forecast.originDay;
  if (elapsedDays <= 0 || forecast.ratePerDay <= 0) return forecast.originTotal;
  const half = (normalQuantile(probability) * relativeSd(forecast.spread, elapsedDays)) / 2;
  const leg = Math.sqrt(1 + half * half);
  // half + leg, without the difference of two near numbers that it is for a low probability
  const root = half < 0 ? 1 / (leg - half) : leg + half;
  return forecast.originTotal + forecast.ratePerDay * elapsedDays * root * root;
}

/**
 * The fractional day by which a total is reached with the given probability: 0.1 is the earliest day
 * that a planner counts with, 0.5 the plain line `origin + distance to go / rate`, 0.9 the latest.
 *
 * `null` when that is more than `horizonDays` after the origin, or never (a rate of zero, or a rate that
 * spreads too far for a date to be named). A total at or below that of the origin gives the origin day:
 * it was reached then or before. Not decreasing in `total` nor in `probability`. Where the spread is the
 * straight line `a + b h` and `k` is the answer as a share of the median days `m`, it solves
 * `k^2 - (2 + z^2 b) k + 1 - z^2 a / m = 0`.
 *
 * @param probability strictly between 0 and 1
 */
export function dayReaching(forecast: UsageForecast, total: number, probability: number): number | null {
  assert(probability > 0 && probability < 1, 'probability strictly between 0 and 1');
  const toGo = total - forecast.originTotal;
  if (toGo <= 0) return forecast.originDay;
  if (forecast.ratePerDay <= 0) return null;
  const medianDays = toGo / forecast.ratePerDay;
  // a lower probability of having arrived asks for a higher quantile of the distance
  const z = -normalQuantile(probability);
  const elapsedDays = z === 0 ? medianDays : passageDays(forecast.spread, medianDays, z);
  return elapsedDays <= forecast.horizonDays + WHOLE_DAY_TOLERANCE_DAYS
    ? forecast.originDay + elapsedDays
    : null;
}

/**
 * Probability that the total has been reached by the end of a day; the inverse of `dayReaching`.
 * 0 for a rate of zero and a total still to go.
 */
export function probabilityReached(forecast: UsageForecast, total: number, day: number): number {
  const toGo = total - forecast.originTotal;
  if (toGo <= 0) return 1;
  const elapsedDays = day - forecast.originDay;
  if (elapsedDays <= 0 || forecast.ratePerDay <= 0) return 0;
  const share = Math.sqrt((forecast.ratePerDay * elapsedDays) / toGo);
  const sd = relativeSd(forecast.spread, elapsedDays);
  if (sd === 0) return share >= 1 ? 1 : 0;
  return normalCdf((share - 1 / share) / sd);
}

/**
 * The total some days before a known point, at the median rate. Only sensible for a few weeks.
 */
export function totalBefore(
  forecast: UsageForecast,
  known: { readonly day: EpochDay; readonly total: number },
  day: EpochDay,
): number {
  return known.total - forecast.ratePerDay * (known.day - day);
}

/**
 * Fractional day rounded up to a whole one: a limit that is reached in the course of a day is due on the
 * day after that many whole days. Rounding error up to `WHOLE_DAY_TOLERANCE_DAYS` is forgiven.
 */
export function wholeDayReached(fractionalDay: number): EpochDay {
  return Math.ceil(fractionalDay - WHOLE_DAY_TOLERANCE_DAYS);
}

/**
 * Makes knots that the forecast can use: the spread `c^2 h` neither falls with the look ahead nor grows
 * faster than its square. Within those bounds every quantile of the distance grows with time, so that no
 * total is "reached" and then not. A knot outside is moved to the nearer bound set by the one before it.
 *
 * @param knots by `afterDays`, the first at 0
 */
export function growingSpread(knots: readonly SpreadKnot[]): SpreadKnot[] {
  assert(knots[0]?.afterDays === 0, 'the first knot at 0 days');
  const bounded: SpreadKnot[] = [];
  for (const { afterDays, varianceDays } of knots) {
    const before = bounded.at(-1);
    if (!before) {
      bounded.push({ afterDays, varianceDays: Math.max(0, varianceDays) });
      continue;
    }
    // a line through `before` that is steeper than twice its own height over its days outgrows the square
    const steepest =
      before.afterDays === 0 ? Infinity : before.varianceDays * ((2 * afterDays) / before.afterDays - 1);
    const atLeast = Math.max(varianceDays, before.varianceDays);
    bounded.push({ afterDays, varianceDays: Math.min(atLeast, steepest) });
  }
  return bounded;
}

interface SpreadLine {
  readonly fromDays: number;
  readonly untilDays: number;
  readonly intercept: number;
  readonly slope: number;
}

function spreadLine(spread: readonly SpreadKnot[], index: number): SpreadLine {
  const from = spread[index] as SpreadKnot;
  const to = spread[index + 1];
  if (!to) return { fromDays: 0, untilDays: Infinity, intercept: from.varianceDays, slope: 0 };
  const slope = (to.varianceDays - from.varianceDays) / (to.afterDays - from.afterDays);
  return {
    fromDays: from.afterDays,
    untilDays: index + 2 === spread.length ? Infinity : to.afterDays,
    intercept: from.varianceDays - slope * from.afterDays,
    slope,
  };
}

/** Relative standard deviation of the distance of the coming days; `elapsedDays` above zero. */
export function relativeSd(spread: readonly SpreadKnot[], elapsedDays: number): number {
  let index = 0;
  while (index + 2 < spread.length && elapsedDays > (spread[index + 1] as SpreadKnot).afterDays) index++;
  const { intercept, slope } = spreadLine(spread, index);
  return Math.sqrt(intercept / elapsedDays + slope);
}

function passageDays(spread: readonly SpreadKnot[], medianDays: number, z: number): number {
  let index = 0;
  while (index + 2 < spread.length && !passedBy(spread[index + 1] as SpreadKnot, medianDays, z)) index++;
  const { fromDays, untilDays, intercept, slope } = spreadLine(spread, index);
  const square = z * z;
  const b = 2 + square * slope;
  const c = 1 - (square * intercept) / medianDays;
  const root = Math.sqrt(Math.max(0, b * b - 4 * c));
  const share = z > 0 ? (2 * c) / (b + root) : (b + root) / 2;
  return Math.min(Math.max(medianDays * share, fromDays), untilDays);
}

function passedBy(knot: SpreadKnot, medianDays: number, z: number): boolean {
  return knot.afterDays - medianDays + z * Math.sqrt(knot.varianceDays * medianDays) >= 0;
}
