import type { MeterUnit } from './usage-forecast';

/**
 * What a back-test multiplies the standard deviation by at one look ahead, for a record of less than
 * `LONG_RECORD_DAYS` on the road and for a longer one.
 */
export interface Widening {
  readonly afterDays: number;
  readonly shortRecord: number;
  readonly longRecord: number;
}

/** From here on a record has seen most of a year. */
export const LONG_RECORD_DAYS = 300;

/**
 * How vehicles of one duty class use one meter: what a single vehicle's short record is completed with.
 * All variances are relative to the square of the vehicle's own rate. A plain object.
 */
export interface UsageModel {
  readonly unit: MeterUnit;
  /** Median over the vehicles of the rate per on-road day, and the standard deviation of its logarithm. */
  readonly medianRatePerDay: number;
  readonly rateLogSd: number;
  /** Relative variance of the distance of one day; over `h` days it is this divided by `h`. */
  readonly incrementVariance: number;
  /** What a vehicle's own increments are multiplied by in a forecast: days in a row are alike. */
  readonly incrementFactor: number;
  /** Relative variance of the coming rate that neither a longer record nor a shorter look ahead removes. */
  readonly rateVariance: number;
  /** Relative variance for a record too short to show a year: times the share of 365 days not observed. */
  readonly seasonVariance: number;
  /** Relative variance gained per day of looking ahead, because the rate itself wanders. */
  readonly rateWander: number;
  /**
   * Factors on the standard deviation from the back-test, by days of looking ahead; straight between them,
   * constant outside. Empty where there was none. They also take up what the three terms cannot follow: a
   * yearly season makes a forecast uncertain over months and hardly so over a whole year.
   */
  readonly widening: readonly Widening[];
  /** Vehicles that the model was estimated from; 0 for the defaults. */
  readonly vehicles: number;
}

/** Most that a vehicle of a duty class can do in a day unless the class says otherwise. */
export const DEFAULT_DAILY_MAXIMUM: Readonly<Record<MeterUnit, number>> = { km: 900, h: 24 };

/**
 * The model before a fleet has a record of its own.
 *
 * Median and spread of the daily distance: ten vehicles of anonymised roadworthiness tests (Department for
 * Transport / DVSA, Open Government Licence v3.0), 18.4 to 120.8 km a day, median 39.3, standard deviation
 * of the logarithm 0.60. Engine hours: the same vehicles at 25 km/h, assumed. The variances are assumed,
 * no published source: days vary by 140 % of their mean, a rate holds to 10 % at best, moves by another
 * 20 % in a year, and swings by 10 % with the season. `fitUsageModel` replaces them all.
 */
export function defaultUsageModel(unit: MeterUnit): UsageModel {
  return {
    unit,
    medianRatePerDay: unit === 'km' ? 39.3 : 39.3 / 25,
    rateLogSd: 0.6,
    incrementVariance: 2,
    incrementFactor: 1,
    rateVariance: 0.01,
    seasonVariance: 0.01,
    rateWander: 0.04 / 365,
    widening: [],
    vehicles: 0,
  };
}

/**
 * The factor on the standard deviation at a look ahead, for a record of `observedDays` on the road; 1 for
 * a model that was never back-tested.
 */
export function wideningAt(widening: readonly Widening[], afterDays: number, observedDays: number): number {
  const record = observedDays >= LONG_RECORD_DAYS ? 'longRecord' : 'shortRecord';
  let before: Widening | undefined;
  for (const knot of widening) {
    if (knot.afterDays >= afterDays) {
      if (!before) return knot[record];
      const share = (afterDays - before.afterDays) / (knot.afterDays - before.afterDays);
      return before[record] + share * (knot[record] - before[record]);
    }
    before = knot;
  }
  return before?.[record] ?? 1;
}
