import type { EpochDay } from '../shared/calendar-date';

/** Days from `fromDay` up to but not including `untilDay` (`null`: until further notice) off the road. */
export interface OffRoadInterval {
  readonly fromDay: EpochDay;
  readonly untilDay: EpochDay | null;
}

/** Counts days on the road. */
export interface OffRoadCalendar {
  /** The day number less the off-road days up to and including that day. */
  onRoadDay(day: EpochDay): number;
}

/**
 * Off-road intervals made ready for counting: sorted, overlaps counted once, empty ones dropped.
 * A total is one at the end of a day, so between the readings of days a and b lie the days a + 1 to b.
 */
export function offRoadCalendar(intervals: readonly OffRoadInterval[]): OffRoadCalendar {
  const merged: { from: number; until: number }[] = [];
  const sorted = intervals
    .map(({ fromDay, untilDay }) => ({ from: fromDay, until: untilDay ?? Infinity }))
    .filter(({ from, until }) => from < until)
    .sort((a, b) => a.from - b.from);
  for (const interval of sorted) {
    const last = merged.at(-1);
    if (last && interval.from <= last.until) last.until = Math.max(last.until, interval.until);
    else merged.push(interval);
  }
  return {
    onRoadDay(day) {
      let offRoadDays = 0;
      for (const { from, until } of merged) {
        if (from > day) break;
        offRoadDays += Math.min(until, day + 1) - from;
      }
      return day - offRoadDays;
    },
  };
}
