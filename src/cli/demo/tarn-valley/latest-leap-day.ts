import { CalendarDate, isCalendarDate } from '../../../core/shared/calendar-date';
import { assert } from '../../../core/shared/assert';

/** The latest 29 February that is not after a date. */
export function latestLeapDay(notAfter: CalendarDate): CalendarDate {
  for (let year = Number(notAfter.slice(0, 4)); year > 0; year -= 1) {
    const leapDay = `${String(year).padStart(4, '0')}-02-29`;
    if (leapDay <= notAfter && isCalendarDate(leapDay)) return leapDay;
  }
  assert(false, `there is a 29 February before ${notAfter}`);
}
