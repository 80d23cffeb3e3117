import { EpochDay } from '../../../core/shared/calendar-date';

/** ISO weekday of a day number, 1 for Monday; day 0 was a Thursday. */
export function weekdayOf(day: EpochDay): number {
  return ((((day + 3) % 7) + 7) % 7) + 1;
}

/** True from Monday to Friday. */
export function isWorkingDay(day: EpochDay): boolean {
  return weekdayOf(day) <= 5;
}
