import type { EpochDay } from '../shared/calendar-date';
import { InputError } from '../shared/input-error';
import { kmFromMiles } from '../shared/units-of-measure';
import { totalBefore, type UsageForecast, wholeDayReached } from './usage-forecast';

/** Units in which an instrument may count; a distance track is in km, a track of engine hours in h. */
export type ReadingUnit = 'km' | 'mi' | 'h';

/** An accepted reading as it was given, on the local day on which it was taken. */
export interface MeterReading {
  readonly id: string;
  readonly day: EpochDay;
  readonly value: number;
  readonly unit: ReadingUnit;
}

/**
 * An instrument taken out and another put in, on the day from which readings come from the new one.
 * The old one last showed `oldFinalValue`, the new one first `newInitialValue`; units may differ.
 */
export interface InstrumentReplacement {
  readonly day: EpochDay;
  readonly oldFinalValue: number;
  readonly oldUnit: ReadingUnit;
  readonly newInitialValue: number;
  readonly newUnit: ReadingUnit;
}

/** Total travelled (km) or run (h) at the end of a local day, across all instruments. */
export interface MeterPoint {
  readonly day: EpochDay;
  readonly total: number;
}

/** `interpolated` between readings; `forecast-backwards` from the first one; `outside` all knowledge. */
export interface TotalOnDay {
  readonly total: number | null;
  readonly how: 'read' | 'interpolated' | 'forecast-backwards' | 'outside';
}

/** The furthest that a total is carried back before the first reading, days. */
export const BACKWARDS_LIMIT_DAYS = 30;

/** A value of an instrument in the unit of its track: km for km and statute miles, h for hours. Not rounded. */
export function inTrackUnit(value: number, unit: ReadingUnit): number {
  return unit === 'mi' ? kmFromMiles(value) : value;
}

/**
 * Chains the readings of all instruments of one meter into its total, one point per day, by day.
 *
 * A total survives a change: old final value + (new value - new initial value). A replacement is itself
 * a point of the track. A reading of the day of a replacement belongs to the instrument whose final or
 * initial value it is nearer to. Of several totals on one day the largest stands. The order of the
 * arguments has no influence.
 *
 * @throws InputError when hours are mixed with distances, a value is not a number of at least zero, or
 * the chain of replacements runs backwards
 */
export function meterTrack(
  readings: readonly MeterReading[],
  replacements: readonly InstrumentReplacement[] = [],
): MeterPoint[] {
  const changes = instrumentChanges(readings, replacements);
  const totals = new Map<EpochDay, number>();
  const keep = (day: EpochDay, total: number): void => {
    const known = totals.get(day);
    if (known === undefined || total > known) totals.set(day, total);
  };
  for (const change of changes) keep(change.day, change.oldFinalTotal);
  for (const reading of readings) {
    const value = inTrackUnit(reading.value, reading.unit);
    keep(reading.day, value + offsetFor(changes, reading.day, value));
  }
  return [...totals].map(([day, total]) => ({ day, total })).sort((a, b) => a.day - b.day);
}

/**
 * The total at the end of a day: as read, else interpolated in a straight line between the readings
 * around it. Before the first reading it is carried back at the forecast's rate for at most
 * `BACKWARDS_LIMIT_DAYS`, never below zero, and only where a forecast is given; else it is unknown.
 * Nothing is said of days after the last reading: that is the forecast's task.
 *
 * @param track as `meterTrack` gives it
 */
export function totalOn(track: readonly MeterPoint[], day: EpochDay, forecast?: UsageForecast): TotalOnDay {
  const after = indexAtOrAfter(track, day);
  const next = track[after];
  if (next?.day === day) return { total: next.total, how: 'read' };
  const previous = track[after - 1];
  if (next && previous) {
    const share = (day - previous.day) / (next.day - previous.day);
    return { total: previous.total + share * (next.total - previous.total), how: 'interpolated' };
  }
  if (next && forecast && next.day - day <= BACKWARDS_LIMIT_DAYS) {
    return { total: Math.max(0, totalBefore(forecast, next, day)), how: 'forecast-backwards' };
  }
  return { total: null, how: 'outside' };
}

/**
 * The first day on which the track had reached a total, interpolated between readings and rounded up to
 * a whole day; `null` when it has not been reached. At or below the first total of the track it is
 * the first day of the track, for want of anything earlier.
 *
 * @param track as `meterTrack` gives it
 */
export function dayReached(track: readonly MeterPoint[], total: number): EpochDay | null {
  let previous: MeterPoint | undefined;
  for (const point of track) {
    if (point.total >= total) {
      if (!previous) return point.day;
      const share = (total - previous.total) / (point.total - previous.total);
      return wholeDayReached(previous.day + share * (point.day - previous.day));
    }
    previous = point;
  }
  return null;
}

/**
 * The total that one value of the instrument stands for, on the local day on which it was read: what
 * `meterTrack` would make of it, without it being a point of the track. Meant for values that come with
 * other records, such as the odometer written on a job sheet.
 *
 * @param replacements every replacement of this meter, in any order
 * @returns km or h, not rounded
 * @throws InputError as `meterTrack` does
 */
export function totalOfValue(
  reading: Omit<MeterReading, 'id'>,
  replacements: readonly InstrumentReplacement[],
): number {
  const changes = instrumentChanges([{ ...reading, id: 'value' }], replacements);
  const value = inTrackUnit(reading.value, reading.unit);
  return value + offsetFor(changes, reading.day, value);
}

interface InstrumentChange {
  readonly day: EpochDay;
  readonly oldFinalTotal: number;
  /** Added to a value of the old instrument, and of the new one, to give the total. */
  readonly oldOffset: number;
  readonly newOffset: number;
}

function instrumentChanges(
  readings: readonly MeterReading[],
  replacements: readonly InstrumentReplacement[],
): InstrumentChange[] {
  const units = [...readings.map((r) => r.unit), ...replacements.flatMap((r) => [r.oldUnit, r.newUnit])];
  if (units.includes('h') && units.some((unit) => unit !== 'h')) {
    throw new InputError(
      'unit',
      'hours and distances are mixed',
      'give engine hours as a meter of their own',
    );
  }
  for (const { value, id } of readings) requireValue(`readings.${id}`, value);
  const ordered = [...replacements].sort((a, b) => a.day - b.day || a.oldFinalValue - b.oldFinalValue);
  const changes: InstrumentChange[] = [];
  let offset = 0;
  for (const replacement of ordered) {
    requireValue('oldFinalValue', replacement.oldFinalValue);
    requireValue('newInitialValue', replacement.newInitialValue);
    const oldFinalTotal = inTrackUnit(replacement.oldFinalValue, replacement.oldUnit) + offset;
    if (oldFinalTotal < (changes.at(-1)?.oldFinalTotal ?? 0)) {
      throw new InputError(
        'oldFinalValue',
        `${replacement.oldFinalValue} is below what the instrument started from`,
        'give the last value that the old instrument showed',
      );
    }
    const newOffset = oldFinalTotal - inTrackUnit(replacement.newInitialValue, replacement.newUnit);
    changes.push({ day: replacement.day, oldFinalTotal, oldOffset: offset, newOffset });
    offset = newOffset;
  }
  return changes;
}

function offsetFor(changes: readonly InstrumentChange[], day: EpochDay, value: number): number {
  let offset = 0;
  for (const change of changes) {
    if (change.day > day) break;
    if (change.day === day && belongsToOld(change, value)) return change.oldOffset;
    offset = change.newOffset;
  }
  return offset;
}

function belongsToOld(change: InstrumentChange, value: number): boolean {
  const ifOld = Math.abs(value + change.oldOffset - change.oldFinalTotal);
  const ifNew = Math.abs(value + change.newOffset - change.oldFinalTotal);
  return ifOld < ifNew;
}

function requireValue(field: string, value: number): void {
  if (!Number.isFinite(value) || value < 0) {
    throw new InputError(field, `${value} is not a meter value`, 'give a number of at least zero');
  }
}

function indexAtOrAfter(track: readonly MeterPoint[], day: EpochDay): number {
  let low = 0;
  let high = track.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((track[middle] as MeterPoint).day < day) low = middle + 1;
    else high = middle;
  }
  return low;
}
