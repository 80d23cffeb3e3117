import { addDays, CalendarDate, daysBetween, isoWeekday } from './calendar-date';

/** A week of ISO 8601. `year` is the year that the week belongs to; around New Year it is not the date's. */
export interface IsoWeek {
  year: number;
  /** 1 to 53. */
  week: number;
}

/** The ISO 8601 week of a date: weeks start on Monday, week 1 is the one with the year's first Thursday. */
export function isoWeek(date: CalendarDate): IsoWeek {
  const thursday = addDays(date, 4 - isoWeekday(date));
  const firstOfYear = `${thursday.slice(0, 4)}-01-01`;
  return {
    year: Number(thursday.slice(0, 4)),
    week: Math.floor(daysBetween(firstOfYear, thursday) / 7) + 1,
  };
}
