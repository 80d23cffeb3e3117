import {
  CalendarDate,
  daysInMonth,
  EpochDay,
  fromEpochDay,
  parseCalendarDate,
  toEpochDay,
} from '../shared/calendar-date';
import { InputError } from '../shared/input-error';

/** A calendar month, or what is left of it: `fromOn` inclusive, `untilOn` exclusive. */
export interface MonthBucket {
  /** `YYYY-MM`. */
  readonly month: string;
  readonly fromOn: CalendarDate;
  readonly untilOn: CalendarDate;
  readonly fromDay: EpochDay;
  readonly untilDay: EpochDay;
}

/** The longest look ahead: five years. */
export const MOST_MONTHS = 60;

/**
 * Consecutive calendar months from a day on. The first runs from that day to the end of its month, so it is
 * shorter than a month unless the day is the first.
 *
 * @param months how many, 1 to 60
 * @throws InputError naming `fromOn` or `months`
 */
export function monthBuckets(fromOn: CalendarDate, months: number): MonthBucket[] {
  parseCalendarDate(fromOn, 'fromOn');
  if (!Number.isInteger(months) || months < 1 || months > MOST_MONTHS) {
    throw new InputError('months', `${months} is not a number of months`, `give 1 to ${MOST_MONTHS}`);
  }
  const buckets: MonthBucket[] = [];
  let fromDay = toEpochDay(fromOn);
  for (let left = months; left > 0; left--) {
    const on = fromEpochDay(fromDay);
    const length = daysInMonth(Number(on.slice(0, 4)), Number(on.slice(5, 7)));
    const untilDay = fromDay + length + 1 - Number(on.slice(8, 10));
    buckets.push({ month: on.slice(0, 7), fromOn: on, untilOn: fromEpochDay(untilDay), fromDay, untilDay });
    fromDay = untilDay;
  }
  return buckets;
}
