import { daysBetween, isoWeekday, type CalendarDate } from '../../core/shared/calendar-date';
import { overlaps } from '../../core/shared/day-interval';
import type { RosterNeed } from './roster-need.entity';

/** How many vehicles are needed on each day from `fromOn` until `untilOn`, which is not one of them. */
export function neededByDay(
  { neededByWeekday, exceptions }: Pick<RosterNeed, 'neededByWeekday' | 'exceptions'>,
  fromOn: CalendarDate,
  untilOn: CalendarDate,
): number[] {
  const mondayBased = isoWeekday(fromOn) - 1;
  const needed = Array.from(
    { length: daysBetween(fromOn, untilOn) },
    (_, day) => neededByWeekday[(mondayBased + day) % 7] ?? 0,
  );
  for (const exception of exceptions) {
    if (!overlaps(exception, { fromOn, untilOn })) continue;
    const firstDay = Math.max(0, daysBetween(fromOn, exception.fromOn));
    needed.fill(exception.needed, firstDay, daysBetween(fromOn, exception.untilOn));
  }
  return needed;
}
