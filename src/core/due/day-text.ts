import { CalendarDate, EpochDay, fromEpochDay } from '../shared/calendar-date';

const FIRST = -7_305;
const LAST = 65_744;
const texts: (CalendarDate | undefined)[] = [];

/**
 * The date of a day number, as `fromEpochDay` gives it. Dates from 1950 to 2149 are kept once written: writing
 * them anew would be half of the work of computing due items.
 */
export function dayText(day: EpochDay): CalendarDate {
  if (day < FIRST || day > LAST) return fromEpochDay(day);
  return (texts[day - FIRST] ??= fromEpochDay(day));
}
