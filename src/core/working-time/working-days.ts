import { CalendarDate, EpochDay, fromEpochDay, toEpochDay } from '../shared/calendar-date';
import { InputError } from '../shared/input-error';
import { CompiledPattern, compilePattern, OpeningPattern, windowsOn } from './opening-pattern';

/**
 * What stands for a date that is not a working day: the `following` or `preceding` working day, or
 * `modified-following`: the following one unless that lies in another month, then the preceding one.
 */
export type WorkingDayRoll = 'following' | 'preceding' | 'modified-following';

// a pattern that is shut for this long never opens
const LONGEST_SEARCH_DAYS = 3_700;

/** True where a window of the pattern starts on the date. */
export function isWorkingDay(pattern: OpeningPattern, date: CalendarDate): boolean {
  return windowsOn(compilePattern(pattern), toEpochDay(date)).length > 0;
}

/** Working days from `fromOn` (inclusive) until `untilOn` (exclusive). */
export function countWorkingDays(
  pattern: OpeningPattern,
  fromOn: CalendarDate,
  untilOn: CalendarDate,
): number {
  const compiled = compilePattern(pattern);
  let count = 0;
  for (let day = toEpochDay(fromOn); day < toEpochDay(untilOn); day++)
    if (windowsOn(compiled, day).length > 0) count++;
  return count;
}

/**
 * The date itself where it is a working day, or the one that stands for it.
 *
 * @throws InputError where the pattern has no working day for ten years
 */
export function rollToWorkingDay(
  pattern: OpeningPattern,
  date: CalendarDate,
  roll: WorkingDayRoll,
): CalendarDate {
  const compiled = compilePattern(pattern);
  return fromEpochDay(rolled(compiled, toEpochDay(date), roll));
}

/**
 * The working day that lies a number of working days after a date, or before it where `days` is negative. A
 * date that is not a working day is first rolled.
 *
 * @param days whole number
 * @throws InputError as `rollToWorkingDay`
 */
export function addWorkingDays(
  pattern: OpeningPattern,
  date: CalendarDate,
  days: number,
  roll: WorkingDayRoll = 'following',
): CalendarDate {
  const compiled = compilePattern(pattern);
  const step = days < 0 ? -1 : 1;
  let day = rolled(compiled, toEpochDay(date), roll);
  for (let left = Math.abs(days); left > 0; left--) day = nearestWorkingDay(compiled, day + step, step);
  return fromEpochDay(day);
}

function rolled(pattern: CompiledPattern, day: EpochDay, roll: WorkingDayRoll): EpochDay {
  if (roll === 'preceding') return nearestWorkingDay(pattern, day, -1);
  const following = nearestWorkingDay(pattern, day, 1);
  const month = (epochDay: EpochDay) => fromEpochDay(epochDay).slice(0, 7);
  if (roll === 'following' || month(following) === month(day)) return following;
  return nearestWorkingDay(pattern, day, -1);
}

function nearestWorkingDay(pattern: CompiledPattern, from: EpochDay, step: 1 | -1): EpochDay {
  for (let moved = 0, day = from; moved < LONGEST_SEARCH_DAYS; moved++, day += step)
    if (windowsOn(pattern, day).length > 0) return day;
  throw new InputError('weekly', 'no working day within ten years', 'give hours for at least one weekday');
}
