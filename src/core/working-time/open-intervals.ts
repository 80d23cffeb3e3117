import { InputError } from '../shared/input-error';
import { InstantSet, instantSetOf, lengthMs, Period } from './instant-set';
import { CompiledPattern, compilePattern, OpeningPattern, windowsOn } from './opening-pattern';
import { ZoneClock } from './zone-clock';

/**
 * The instants in a range at which a pattern is open. Hours are those of the wall clock: over a clock change
 * a night shift from 22:00 to 06:00 lasts seven or nine hours. A window end that the clock shows twice is its
 * first; one that the clock leaves out is moved on by the length of the gap.
 *
 * @param fromAt milliseconds since the epoch, inclusive
 * @param untilAt exclusive
 * @throws InputError for a range, zone, time or date that does not exist
 */
export function openIntervals(pattern: OpeningPattern, fromAt: number, untilAt: number): InstantSet {
  if (!(fromAt <= untilAt))
    throw new InputError('untilAt', 'the range ends before it starts', 'give a later end');
  const clock = new ZoneClock(pattern.zone, fromAt, untilAt);
  return intervalsOf(compilePattern(pattern), clock, fromAt, untilAt);
}

/**
 * The same for a pattern that is already compiled, on a clock that covers the range.
 */
export function intervalsOf(
  pattern: CompiledPattern,
  clock: ZoneClock,
  fromAt: number,
  untilAt: number,
): InstantSet {
  const periods: Period[] = [];
  // a window that reaches into the range may have started a day before, two where the zone left a day out
  const firstDay = clock.localDayAt(fromAt) - 2;
  const lastDay = clock.localDayAt(untilAt);
  for (let day = firstDay; day <= lastDay; day++) {
    const windows = windowsOn(pattern, day);
    if (windows.length === 0 || !clock.hasDay(day)) continue;
    for (const { fromMinute, untilMinute, untilDay } of windows) {
      const startsAt = Math.max(clock.instantOf(day, fromMinute), fromAt);
      const endsAt = Math.min(clock.instantOf(day + untilDay, untilMinute), untilAt);
      if (startsAt < endsAt) periods.push({ startsAt, endsAt });
    }
  }
  return instantSetOf(periods);
}

/**
 * Open minutes between two instants. Not rounded.
 *
 * @throws InputError as `openIntervals`
 */
export function workingMinutes(pattern: OpeningPattern, fromAt: number, untilAt: number): number {
  return lengthMs(openIntervals(pattern, fromAt, untilAt)) / 60_000;
}
