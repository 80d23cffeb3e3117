import { CalendarDate } from '../shared/calendar-date';

/** Days on which a piece of work can be done: from the first until the last, both included. */
export interface VisitWindow {
  readonly fromOn: CalendarDate;
  readonly lastOn: CalendarDate;
}

/**
 * The least number of days on which visits have to be made so that every window holds one of them.
 *
 * Exact, by the greedy of interval piercing: take the window that ends first, visit on its last day, drop every
 * window that holds that day, and so on. Source: textbooks of algorithms, as the dual of interval scheduling (from
 * memory).
 *
 * @throws RangeError for a window that ends before it begins
 */
export function fewestVisits(windows: readonly VisitWindow[]): number {
  const byEnd = [...windows].sort((a, b) => (a.lastOn < b.lastOn ? -1 : a.lastOn > b.lastOn ? 1 : 0));
  let visits = 0;
  let visitedOn: CalendarDate | null = null;
  for (const { fromOn, lastOn } of byEnd) {
    if (fromOn > lastOn) throw new RangeError(`a window from ${fromOn} to ${lastOn}`);
    if (visitedOn !== null && fromOn <= visitedOn) continue;
    visitedOn = lastOn;
    visits += 1;
  }
  return visits;
}
