import { DateTime } from 'luxon';
import { assert } from './assert';
import { InputError } from './input-error';

/**
 * A day of the proleptic Gregorian calendar as `YYYY-MM-DD`, without time or zone. Names end in `On`.
 * ISO strings of four-digit years compare correctly as text, so `<` and `>` may be used on them.
 */
export type CalendarDate = string;

/** Whole days since 1970-01-01; the form in which the core does day arithmetic. */
export type EpochDay = number;

const MILLISECONDS_PER_DAY = 86_400_000;
// 0001-01-01 and 9999-12-31: beyond them an ISO string is no longer ten characters
const FIRST_DAY = -719_162;
const LAST_DAY = 2_932_896;
const ISO_DATE = /^(\d{4})-(\d{2})-(\d{2})$/;

/**
 * True for an existing day written as `YYYY-MM-DD` (2025-02-29 is not one). Years 0001 to 9999.
 */
export function isCalendarDate(text: string): boolean {
  const match = ISO_DATE.exec(text);
  if (!match) return false;
  const [year, month, day] = [Number(match[1]), Number(match[2]), Number(match[3])];
  return year >= 1 && month >= 1 && month <= 12 && day >= 1 && day <= daysInMonth(year, month);
}

/**
 * Reads a calendar date and refuses days that do not exist instead of rolling them over.
 *
 * @throws InputError naming `field`
 */
export function parseCalendarDate(text: string, field = 'date'): CalendarDate {
  if (!isCalendarDate(text)) {
    throw new InputError(field, `"${text}" is not a calendar date`, 'give an existing day as YYYY-MM-DD');
  }
  return text;
}

/** Days in a month; `month` counts from 1. */
export function daysInMonth(year: number, month: number): number {
  if (month === 2) return year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0) ? 29 : 28;
  return month === 4 || month === 6 || month === 9 || month === 11 ? 30 : 31;
}

/** Day number of a date; exact, no zone involved. */
export function toEpochDay(date: CalendarDate): EpochDay {
  const year = Number(date.slice(0, 4));
  const days = Date.UTC(year, Number(date.slice(5, 7)) - 1, Number(date.slice(8, 10))) / MILLISECONDS_PER_DAY;
  // Date.UTC reads the years 0 to 99 as 1900 to 1999
  return year >= 100 ? days : toEpochDay(`${String(year + 400).padStart(4, '0')}${date.slice(4)}`) - 146_097;
}

/** Date of a day number, within the years 0001 to 9999. */
export function fromEpochDay(day: EpochDay): CalendarDate {
  assert(day >= FIRST_DAY && day <= LAST_DAY, 'a day outside the years 0001 to 9999');
  return new Date(day * MILLISECONDS_PER_DAY).toISOString().slice(0, 10);
}

/** Date moved by whole days, forwards or backwards. */
export function addDays(date: CalendarDate, days: number): CalendarDate {
  return fromEpochDay(toEpochDay(date) + days);
}

/**
 * Date moved by whole months in one step, clamped to the end of a shorter month: 31 January + 1 month is
 * 28 or 29 February. Adding one month twice is not adding two: compute the k-th date from the anchor.
 */
export function addMonths(date: CalendarDate, months: number): CalendarDate {
  const monthIndex = Number(date.slice(0, 4)) * 12 + Number(date.slice(5, 7)) - 1 + months;
  const year = Math.floor(monthIndex / 12);
  assert(year >= 1 && year <= 9999, 'a month outside the years 0001 to 9999');
  const month = monthIndex - year * 12 + 1;
  const day = Math.min(Number(date.slice(8, 10)), daysInMonth(year, month));
  return `${String(year).padStart(4, '0')}-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')}`;
}

/** Whole days from `from` until `to`; negative when `to` is earlier. */
export function daysBetween(from: CalendarDate, to: CalendarDate): number {
  return toEpochDay(to) - toEpochDay(from);
}

/** The earlier of two dates. */
export function earlierDate(a: CalendarDate, b: CalendarDate): CalendarDate {
  return a < b ? a : b;
}

/** The later of two dates. */
export function laterDate(a: CalendarDate, b: CalendarDate): CalendarDate {
  return a > b ? a : b;
}

/** Day of the week by ISO 8601: 1 is Monday, 7 is Sunday. */
export function isoWeekday(date: CalendarDate): number {
  return ((((toEpochDay(date) + 3) % 7) + 7) % 7) + 1;
}

/** True for a zone of the IANA database, such as `Europe/London`; false for an offset or an unknown name. */
export function isTimeZone(zone: string): boolean {
  return /^[A-Za-z]/.test(zone) && DateTime.fromMillis(0, { zone }).isValid;
}

/**
 * The day that a wall calendar in `zone` shows at an instant.
 *
 * @param instant milliseconds since 1970-01-01T00:00:00Z
 * @param zone IANA name
 * @throws InputError when the zone is unknown
 */
export function localDateAt(instant: number, zone: string): CalendarDate {
  const local = DateTime.fromMillis(instant, { zone });
  if (!local.isValid) {
    throw new InputError('zone', `"${zone}" is not a time zone`, 'give an IANA name such as Europe/London');
  }
  return local.toFormat('yyyy-MM-dd');
}

/**
 * The first instant of a local day, in milliseconds since the epoch. It is not always midnight: where a
 * clock change removes midnight, the day starts later. Where one repeats it, the first midnight counts. A
 * day that a zone skipped altogether starts where the following one does.
 *
 * @throws InputError when the zone is unknown
 */
export function startOfLocalDay(date: CalendarDate, zone: string): number {
  const start = DateTime.fromISO(date, { zone }).startOf('day');
  if (!start.isValid) {
    throw new InputError('zone', `"${zone}" is not a time zone`, 'give an IANA name such as Europe/London');
  }
  // Luxon takes the second of two midnights
  const offsetADayBefore = start.setZone('utc').minus({ hours: 24 }).setZone(zone).offset;
  const firstMidnight = start.toMillis() - (offsetADayBefore - start.offset) * 60_000;
  return firstMidnight < start.toMillis() && localDateAt(firstMidnight, zone) === date
    ? firstMidnight
    : start.toMillis();
}
