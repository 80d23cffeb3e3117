import { EpochDay } from '../shared/calendar-date';
import { dayText } from './day-text';
import { dayReached, MeterPoint } from '../usage/meter-track';
import { dayReaching, wholeDayReached } from '../usage/usage-forecast';
import { MissingFact } from './due-item';
import { limitDates, Limit, undeterminedLimit } from './limit';
import { MeterProjection } from './reasoning';
import { Tolerance } from './rule';
import { Meter } from './subject';

/** What a distance or hours limit is made of. */
export interface MeterLimitTerms {
  kind: 'distance' | 'hours';
  /** As the rule gives it, and after severity; null for the odometer value of a campaign. */
  every: number | null;
  scaled: number | null;
  /** Total at the baseline. */
  from: number | null;
  dueTotal: number;
  /** The baseline as a point of the meter; null where there is none. */
  floor: MeterPoint | null;
}

const EARLIEST = 0.1;
const MEDIAN = 0.5;
const LATEST = 0.9;

/**
 * A distance (or hours) limit as a date: already reached, the day interpolated between the readings; else the
 * median day of the forecast, with its 10 % and 90 % days. Days are rounded up. Tolerances in km move the
 * distance before it is turned into a date, tolerances in days then shift that date.
 *
 * A limit passed before the first reading is interpolated between the baseline and that reading. No date lies
 * before the baseline. Undetermined where the limit is not reached and there is no forecast.
 */
export function meterLimit(terms: MeterLimitTerms, meter: Meter, tolerance: Tolerance): Limit {
  const { kind, dueTotal } = terms;
  const due = dayAt(terms, meter, dueTotal, MEDIAN);
  if (due === null) return undeterminedLimit(kind, [missingUsage(kind)], dueTotal);
  const reached = isReached(meter, dueTotal);
  const earliest = reached ? due : (dayAt(terms, meter, dueTotal, EARLIEST) ?? due);
  const latest = reached ? due : (dayAt(terms, meter, dueTotal, LATEST) ?? due);
  const { earlyKm, lateKm } = kind === 'distance' ? tolerance : NO_KM;
  const early =
    (earlyKm === 0 ? due : (dayAt(terms, meter, dueTotal - earlyKm, MEDIAN) ?? due)) - tolerance.earlyDays;
  const late =
    (lateKm === 0 ? due : (dayAt(terms, meter, dueTotal + lateKm, MEDIAN) ?? due)) + tolerance.lateDays;
  const { every, scaled, from } = terms;
  const limit: Limit = {
    kind,
    due,
    early,
    late,
    earliest,
    latest,
    dueTotal,
    missing: [],
    marks: [],
    reason: {
      kind,
      every,
      scaled,
      from,
      dueTotal,
      projection: projectionOf(terms, meter, reached),
      ...limitDates(early, due, late, earliest, latest),
    },
  };
  const first = meter.track[0];
  if (reached && first && dueTotal < first.total && interpolatedFromFloor(terms, first, dueTotal) === null) {
    limit.marks.push('reached-before-first-reading');
  }
  if (terms.floor && contradicts(terms.floor, meter)) {
    limit.marks.push(kind === 'distance' ? 'odometer-contradicts-readings' : 'hours-contradict-readings');
  }
  return limit;
}

const NO_KM = { earlyKm: 0, lateKm: 0 };

// null: not reached and no forecast; Infinity: beyond the horizon
function dayAt(terms: MeterLimitTerms, meter: Meter, total: number, probability: number): EpochDay | null {
  const { floor } = terms;
  if (floor !== null && total <= floor.total) return floor.day;
  const day = dayOnTrack(terms, meter, total) ?? dayForecast(meter, total, probability);
  return day !== null && floor !== null ? Math.max(day, floor.day) : day;
}

function dayOnTrack(terms: MeterLimitTerms, meter: Meter, total: number): EpochDay | null {
  if (!isReached(meter, total)) return null;
  const first = meter.track[0] as MeterPoint;
  return (
    (total < first.total ? interpolatedFromFloor(terms, first, total) : null) ??
    dayReached(meter.track, total)
  );
}

function dayForecast(meter: Meter, total: number, probability: number): EpochDay | null {
  if (!meter.forecast) return null;
  const day = dayReaching(meter.forecast, total, probability);
  return day === null ? Infinity : wholeDayReached(day);
}

function isReached(meter: Meter, total: number): boolean {
  const last = meter.track[meter.track.length - 1];
  return last !== undefined && total <= last.total;
}

function interpolatedFromFloor(terms: MeterLimitTerms, first: MeterPoint, total: number): EpochDay | null {
  const { floor } = terms;
  if (floor === null || floor.day >= first.day || floor.total > total) return null;
  const share = (total - floor.total) / (first.total - floor.total);
  return wholeDayReached(floor.day + share * (first.day - floor.day));
}

// the baseline's own total lies above a later reading, or below an earlier one
function contradicts(floor: MeterPoint, meter: Meter): boolean {
  let previous: MeterPoint | null = null;
  for (const point of meter.track) {
    if (point.day > floor.day)
      return point.total < floor.total || (previous !== null && previous.total > floor.total);
    previous = point;
  }
  return previous !== null && previous.total > floor.total;
}

function projectionOf(terms: MeterLimitTerms, meter: Meter, reached: boolean): MeterProjection {
  if (!reached && meter.forecast) {
    const { originDay, originTotal, ratePerDay, horizonDays } = meter.forecast;
    return {
      how: 'forecast',
      from: { on: dayText(originDay), total: originTotal },
      left: terms.dueTotal - originTotal,
      perDay: ratePerDay,
      horizonDays,
    };
  }
  const index = meter.track.findIndex((point) => point.total >= terms.dueTotal);
  const after = meter.track[index] as MeterPoint;
  const fromFloor = index === 0 && interpolatedFromFloor(terms, after, terms.dueTotal) !== null;
  const before = index > 0 ? (meter.track[index - 1] as MeterPoint) : fromFloor ? terms.floor : null;
  return {
    how: 'reached',
    before: before && { on: dayText(before.day), total: before.total },
    after: { on: dayText(after.day), total: after.total },
  };
}

function missingUsage(kind: 'distance' | 'hours'): MissingFact {
  return kind === 'distance'
    ? { code: 'odometer-readings', sentence: 'Record odometer readings, or the distance expected in a year.' }
    : { code: 'engine-hours-readings', sentence: 'Record readings of the engine hours.' };
}
