import { CalendarDate, daysBetween, earlierDate, laterDate } from './calendar-date';
import { InputError } from './input-error';

/**
 * Calendar days from `fromOn` (inclusive) until `untilOn` (exclusive). Half-open, so that intervals can be
 * joined and cut without a day being counted twice; never empty.
 */
export interface DayInterval {
  readonly fromOn: CalendarDate;
  readonly untilOn: CalendarDate;
}

/**
 * An interval of at least one day.
 *
 * @throws InputError naming `untilOn` when it is not after `fromOn`
 */
export function dayInterval(fromOn: CalendarDate, untilOn: CalendarDate): DayInterval {
  if (untilOn <= fromOn) {
    throw new InputError(
      'untilOn',
      `${untilOn} is not after ${fromOn}`,
      'give a later day; the end is exclusive',
    );
  }
  return { fromOn, untilOn };
}

/** Days in the interval. */
export function lengthInDays(interval: DayInterval): number {
  return daysBetween(interval.fromOn, interval.untilOn);
}

/** True for the first day of the interval, false for its end. */
export function containsDay(interval: DayInterval, day: CalendarDate): boolean {
  return interval.fromOn <= day && day < interval.untilOn;
}

/** True where the two have a day in common; intervals that only touch have none. */
export function overlaps(a: DayInterval, b: DayInterval): boolean {
  return a.fromOn < b.untilOn && b.fromOn < a.untilOn;
}

/** The days that two intervals have in common, null for none. */
export function intersectionOf(a: DayInterval, b: DayInterval): DayInterval | null {
  if (!overlaps(a, b)) return null;
  return { fromOn: laterDate(a.fromOn, b.fromOn), untilOn: earlierDate(a.untilOn, b.untilOn) };
}

/** The days of some intervals as the fewest intervals, in order; those that touch are joined. */
export function unionOf(intervals: readonly DayInterval[]): DayInterval[] {
  const joined: DayInterval[] = [];
  for (const next of [...intervals].sort((a, b) =>
    a.fromOn < b.fromOn ? -1 : a.fromOn > b.fromOn ? 1 : 0,
  )) {
    const last = joined[joined.length - 1];
    if (last && next.fromOn <= last.untilOn) {
      joined[joined.length - 1] = { fromOn: last.fromOn, untilOn: laterDate(last.untilOn, next.untilOn) };
    } else joined.push(next);
  }
  return joined;
}

/** The days of `interval` that none of `others` has, as the fewest intervals, in order. */
export function differenceOf(interval: DayInterval, others: readonly DayInterval[]): DayInterval[] {
  const left: DayInterval[] = [];
  let fromOn = interval.fromOn;
  for (const other of unionOf(others)) {
    if (!overlaps({ fromOn, untilOn: interval.untilOn }, other)) continue;
    if (other.fromOn > fromOn) left.push({ fromOn, untilOn: other.fromOn });
    fromOn = laterDate(fromOn, other.untilOn);
    if (fromOn >= interval.untilOn) return left;
  }
  return [...left, { fromOn, untilOn: interval.untilOn }];
}
