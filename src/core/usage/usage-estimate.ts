import type { EpochDay } from '../shared/calendar-date';
import { InputError } from '../shared/input-error';
import { theilSen } from '../shared/statistics-theil-sen';
import type { MeterPoint } from './meter-track';
import { type OffRoadInterval, offRoadCalendar, type OffRoadCalendar } from './off-road';
import { FORECAST_HORIZON_DAYS, growingSpread, type UsageForecast } from './usage-forecast';
import { type UsageModel, wideningAt } from './usage-model';

/** What is recorded of one meter of one vehicle. The order of readings and intervals does not matter. */
export interface UsageRecord {
  /** Accepted totals, as `meterTrack` gives them. */
  readonly track: readonly MeterPoint[];
  /** Days on which the vehicle's duty changed; readings before the last of them do not count. */
  readonly dutyChangeDays?: readonly EpochDay[];
  readonly offRoad?: readonly OffRoadInterval[];
  /** What the operator expects in a year of 365 days on the road, in the unit of the track. */
  readonly statedPerYear?: number | null;
}

/** Why a reading did not enter the rate. */
export type LeftOutReason = 'before-duty-change' | 'older-than-window' | 'thinned' | 'too-short-a-span';

/** The present rate of use, with all that is needed to work it out again by hand. */
export interface UsageEstimate {
  /** `readings-and-stated`: few readings, weighted with the stated distance by their precision. */
  readonly basis: 'readings' | 'readings-and-stated' | 'stated' | 'none';
  /** Per day on the road, km or h; `null` when the basis is `none`. */
  readonly ratePerDay: number | null;
  /** 95 % interval of the present rate by `intervalConvention`. Not a forecast of the rate to come. */
  readonly rateLow: number | null;
  readonly rateHigh: number | null;
  readonly intervalConvention: string | null;
  /** Rate by the readings alone, where there are enough, and the weight it was given. */
  readonly ownRatePerDay: number | null;
  readonly ownWeight: number;
  /** The newest reading: the forecast starts here. */
  readonly origin: MeterPoint | null;
  /** On-road days between the first and last reading used. */
  readonly elapsedDays: number;
  readonly used: readonly MeterPoint[];
  readonly leftOut: readonly { readonly point: MeterPoint; readonly reason: LeftOutReason }[];
  /** Relative variance of a day of this vehicle: its own increments, shrunk to the model's value. */
  readonly incrementVariance: number;
  /** Relative variance of the rate as a statement on the time to come. */
  readonly rateVariance: number;
  /** What would be needed, in plain words; empty when a forecast can be made. */
  readonly missing: readonly string[];
}

/** Readings older than this before the newest one say little of present use. */
export const WINDOW_DAYS = 400;
/** Above this many readings only the last of each week, counted back from the newest, is used. */
export const MOST_POINTS = 60;
/** Fewer readings, or a shorter span, are weighted with the stated distance. */
export const FEW_READINGS = 6;
export const FEW_DAYS = 90;
/** Two readings closer than this tell nothing of the rate. */
export const SHORTEST_SPAN_DAYS = 7;
/** Looks ahead at which a forecast's spread is worked out; straight lines between. */
export const SPREAD_KNOTS_DAYS: readonly number[] = [0, 30, 90, 180, 270, 365, 730, 1_460, 2_920];
/** Relative standard deviation of a stated yearly distance: assumed, no published source. */
export const STATED_RELATIVE_SD = 0.25;
/** How many increments the model's value weighs as much as when it meets a vehicle's own. */
export const POOLED_INCREMENTS = 8;

// A single wild increment (an error that was accepted) counts as at most three standard deviations.
const CAP_IN_VARIANCES = 9;
/** Variance of a slope fitted to a process with independent increments, times span / increment variance. */
export const SLOPE_OF_WALK = 1.2;
const NORMAL_975 = 1.959_963_984_540_054;

/**
 * The present rate of use, a pure function of the record: no "today" enters it.
 *
 * Theil-Sen slope over the readings since the last duty change, at most `WINDOW_DAYS` before the newest
 * reading, against days on the road. A duty change after the newest reading leaves no reading to count.
 * Fewer than `FEW_READINGS` readings or less than `FEW_DAYS`: weighted with the stated distance, in inverse
 * proportion to the variances that the model expects; without one, the readings stand alone with their wide interval.
 * Fewer than two readings or `SHORTEST_SPAN_DAYS`: the stated distance alone.
 *
 * @throws InputError when the stated distance is not above zero
 */
export function estimateUsage(record: UsageRecord, model: UsageModel): UsageEstimate {
  const statedPerDay = readStated(record.statedPerYear);
  const { used, leftOut, origin } = chooseReadings(record);
  const calendar = offRoadCalendar(record.offRoad ?? []);
  const own = ownRate(used, calendar, model);
  const spanDays = (used.at(-1)?.day ?? 0) - (used[0]?.day ?? 0);
  const missing: string[] = [];
  if (!origin) missing.push('a reading of the meter');
  const shared = { origin, elapsedDays: own?.elapsedDays ?? 0, ownRatePerDay: own?.ratePerDay ?? null };
  if (!own) {
    const rest = [...leftOut, ...used.map((point) => ({ point, reason: 'too-short-a-span' as const }))];
    if (statedPerDay === null) {
      missing.push('two readings at least a week apart, or a stated yearly distance');
    }
    return {
      ...shared,
      ...(statedPerDay === null ? noRate : around(statedPerDay, STATED_RELATIVE_SD)),
      basis: statedPerDay === null ? 'none' : 'stated',
      intervalConvention: statedPerDay === null ? null : 'stated distance plus or minus 1.96 x 25 %, assumed',
      ownWeight: 0,
      used: [],
      leftOut: rest,
      incrementVariance: model.incrementVariance * model.incrementFactor,
      rateVariance: STATED_RELATIVE_SD ** 2,
      missing,
    };
  }
  const facts = { ...shared, used, leftOut, missing, incrementVariance: own.incrementVariance };
  if (statedPerDay !== null && (used.length < FEW_READINGS || spanDays < FEW_DAYS)) {
    // Calendar span, pooled variance and stated rate, so that the weight does not depend on how far the
    // vehicle went or stood: more use, or more days off the road, can then only raise the rate.
    const expected = variance(model, model.incrementVariance * model.incrementFactor, spanDays);
    const ownWeight = STATED_RELATIVE_SD ** 2 / (STATED_RELATIVE_SD ** 2 + expected);
    const ratePerDay = ownWeight * own.ratePerDay + (1 - ownWeight) * statedPerDay;
    const ownVariance = own.ratePerDay ** 2 * variance(model, own.incrementVariance, own.elapsedDays);
    const statedVariance = (STATED_RELATIVE_SD * statedPerDay) ** 2;
    const relativeVariance =
      (ownWeight ** 2 * ownVariance + (1 - ownWeight) ** 2 * statedVariance) / ratePerDay ** 2;
    return {
      ...facts,
      ...around(ratePerDay, Math.sqrt(relativeVariance)),
      basis: 'readings-and-stated',
      intervalConvention: 'precision-weighted mean plus or minus 1.96 standard deviations',
      ownWeight,
      rateVariance: relativeVariance,
    };
  }
  return {
    ...facts,
    basis: 'readings',
    ratePerDay: own.ratePerDay,
    rateLow: own.low,
    rateHigh: own.high,
    intervalConvention: 'Theil-Sen, 95 %, ranks by the normal approximation; of the slope, not of the future',
    ownWeight: 1,
    rateVariance: variance(model, own.incrementVariance, own.elapsedDays),
  };
}

/**
 * Forecast from an estimate and the model it was made with. The spread at each look ahead of `h` days is
 * `increment variance + rate variance * h + rate wander * h^2`, times the square of the model's widening:
 * a process with drift, the drift known with an error and wandering. `null` without a rate or without a reading to
 * start from (`estimate.missing` says which).
 */
export function forecastUsage(estimate: UsageEstimate, model: UsageModel): UsageForecast | null {
  if (!estimate.origin || estimate.ratePerDay === null) return null;
  const { incrementVariance, rateVariance, ratePerDay } = estimate;
  const spread = SPREAD_KNOTS_DAYS.map((afterDays) => ({
    afterDays,
    varianceDays:
      wideningAt(model.widening, afterDays, estimate.elapsedDays) ** 2 *
      (incrementVariance + rateVariance * afterDays + model.rateWander * afterDays ** 2),
  }));
  return {
    unit: model.unit,
    originDay: estimate.origin.day,
    originTotal: estimate.origin.total,
    ratePerDay,
    spread: growingSpread(spread),
    horizonDays: FORECAST_HORIZON_DAYS,
  };
}

/**
 * Squared relative errors of the increments between neighbouring readings, each scaled to one day:
 * `(distance / rate - days)^2 / days`. Pairs without an on-road day between them are skipped.
 */
export function squaredIncrements(
  used: readonly MeterPoint[],
  ratePerDay: number,
  calendar: OffRoadCalendar,
): number[] {
  const squares: number[] = [];
  for (let i = 1; i < used.length; i++) {
    const from = used[i - 1] as MeterPoint;
    const to = used[i] as MeterPoint;
    const days = calendar.onRoadDay(to.day) - calendar.onRoadDay(from.day);
    if (days > 0) squares.push(((to.total - from.total) / ratePerDay - days) ** 2 / days);
  }
  return squares;
}

const noRate = { ratePerDay: null, rateLow: null, rateHigh: null };

function around(ratePerDay: number, relativeSd: number) {
  const half = NORMAL_975 * relativeSd * ratePerDay;
  return { ratePerDay, rateLow: Math.max(0, ratePerDay - half), rateHigh: ratePerDay + half };
}

function readStated(perYear: number | null | undefined): number | null {
  if (perYear === null || perYear === undefined) return null;
  if (!Number.isFinite(perYear) || perYear <= 0) {
    throw new InputError('statedPerYear', `${perYear} is not a yearly distance`, 'give a number above zero');
  }
  return perYear / 365;
}

function chooseReadings(record: UsageRecord) {
  const ordered = [...record.track].sort((a, b) => a.day - b.day || a.total - b.total);
  const origin = ordered.at(-1) ?? null;
  const leftOut: { point: MeterPoint; reason: LeftOutReason }[] = [];
  if (!origin) return { used: [], leftOut, origin };
  const dutySince = Math.max(-Infinity, ...(record.dutyChangeDays ?? []));
  const inWindow = ordered.filter((point) => {
    const reason =
      point.day < dutySince
        ? 'before-duty-change'
        : point.day < origin.day - WINDOW_DAYS
          ? 'older-than-window'
          : null;
    if (reason) leftOut.push({ point, reason });
    return !reason;
  });
  if (inWindow.length <= MOST_POINTS) return { used: inWindow, leftOut, origin };
  const week = (point: MeterPoint): number => Math.floor((origin.day - point.day) / 7);
  const used = inWindow.filter((point, i) => {
    const next = inWindow[i + 1];
    const last = !next || week(next) !== week(point);
    if (!last) leftOut.push({ point, reason: 'thinned' });
    return last;
  });
  return { used, leftOut, origin };
}

interface OwnRate {
  readonly ratePerDay: number;
  readonly low: number;
  readonly high: number;
  readonly elapsedDays: number;
  readonly incrementVariance: number;
}

function ownRate(used: readonly MeterPoint[], calendar: OffRoadCalendar, model: UsageModel): OwnRate | null {
  const [first, last] = [used[0], used.at(-1)];
  if (!first || !last || last.day - first.day < SHORTEST_SPAN_DAYS) return null;
  const x = used.map((point) => calendar.onRoadDay(point.day));
  const line = theilSen(
    x,
    used.map((point) => point.total),
    0.95,
    true,
  );
  const elapsedDays = (x.at(-1) as number) - (x[0] as number);
  // distance covered while the vehicle is said to have stood: the record contradicts itself
  if (!line || !Number.isFinite(line.slope) || elapsedDays <= 0) return null;
  const ratePerDay = Math.max(0, line.slope);
  return {
    ratePerDay,
    low: Math.max(0, line.low),
    high: line.high,
    elapsedDays,
    incrementVariance:
      model.incrementFactor *
      shrunkIncrementVariance(
        ratePerDay > 0 ? squaredIncrements(used, ratePerDay, calendar) : [],
        model.incrementVariance,
      ),
  };
}

function shrunkIncrementVariance(squares: readonly number[], pooled: number): number {
  const cap = CAP_IN_VARIANCES * pooled;
  let sum = POOLED_INCREMENTS * pooled;
  for (const square of squares) sum += Math.min(square, cap);
  return sum / (POOLED_INCREMENTS + squares.length);
}

// The fitted slope misses the coming rate by its own error, by what the model cannot know, by the seasons
// it has not seen, and because the rate wandered while it was observed.
function variance(model: UsageModel, incrementVariance: number, observedDays: number): number {
  return (
    (SLOPE_OF_WALK * incrementVariance) / observedDays +
    model.rateVariance +
    model.seasonVariance * unseenYear(observedDays) +
    model.rateWander * observedDays
  );
}

/** Share of a year of 365 days that a record does not cover. */
export function unseenYear(observedDays: number): number {
  return Math.max(0, 1 - observedDays / 365);
}
