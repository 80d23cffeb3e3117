import { EpochDay, toEpochDay } from '../shared/calendar-date';
import { compareCompletions } from './baseline';
import { dateOrNull, Limit } from './limit';
import { OccurrenceReason } from './reasoning';
import { Interval } from './rule';
import { CountedCompletion } from './subject';
import { Window } from './window';

/** One occurrence of a fixed series. */
export interface Occurrence {
  limits: Limit[];
  /** Null where it cannot be told. */
  window: Window | null;
}

/** A fixed series: occurrences at the anchor + first interval + (number - 1) × the interval. */
export interface Series {
  anchorDay: EpochDay;
  first: Interval;
  each: Interval;
  /** The completion that the series starts from, where it starts from one; it settles nothing. */
  anchorCompletionId: string | null;
  /** Occurrences due before this day are not owed; `-Infinity` for none. */
  owedFrom: EpochDay;
  occurrenceAt(interval: Interval): Occurrence;
}

/** Where the open occurrence stands in its series. */
export type SeriesReason = Omit<OccurrenceReason, 'statedFirst' | 'statedEach'>;

/**
 * The oldest occurrence of a fixed series that is open.
 *
 * Occurrences wholly before the first known completion are not owed. Taken from the earliest, a completion
 * settles the occurrence whose window contains it (of several the oldest open one; none if all of them are
 * settled: the work was done again). Outside every window it settles the oldest open occurrence, provided that
 * it was done after the one before that fell due: nobody works off next year by doing this year's job twice.
 * Early or late completions do not move the series.
 */
export function openOccurrence(
  series: Series,
  completions: readonly CountedCompletion[],
): { occurrence: Occurrence; reason: SeriesReason } {
  const known: Occurrence[] = [];
  const occurrence = (number: number): Occurrence =>
    (known[number] ??= series.occurrenceAt(intervalTo(series, number)));
  const windowAt = (number: number): Window | null => occurrence(number).window;
  const done = completions.filter((each) => each.id !== series.anchorCompletionId).sort(compareCompletions);
  // a series that starts from a completion has its first known completion there
  const firstDone = series.anchorCompletionId === null ? done[0] : undefined;
  const firstDay = firstDone ? toEpochDay(firstDone.on) : -Infinity;

  let firstOwed = 1;
  for (;;) {
    const window = windowAt(firstOwed);
    if (window === null) break;
    if (window.late >= firstDay && window.due >= series.owedFrom) break;
    firstOwed += 1;
  }

  const settled: OccurrenceReason['settled'] = [];
  const settledNumbers = new Set<number>();
  let oldestOpen = firstOwed;
  let scanFrom = firstOwed;
  for (const completion of done) {
    const day = toEpochDay(completion.on);
    while ((windowAt(scanFrom)?.late ?? Infinity) < day) scanFrom += 1;
    let number = containing(windowAt, scanFrom, day, settledNumbers);
    if (number === null) {
      const previousDue = oldestOpen === 1 ? series.anchorDay : (windowAt(oldestOpen - 1)?.due ?? Infinity);
      if (day > previousDue) number = oldestOpen;
    }
    const window = number === null || number === 'again' ? null : windowAt(number);
    if (typeof number !== 'number' || window === null) continue;
    settledNumbers.add(number);
    const dueOn = dateOrNull(window.due);
    settled.push({ number, dueOn, completionId: completion.id, doneOn: completion.on });
    while (settledNumbers.has(oldestOpen)) oldestOpen += 1;
  }
  return {
    occurrence: occurrence(oldestOpen),
    reason: { number: oldestOpen, first: series.first, each: series.each, notOwed: firstOwed - 1, settled },
  };
}

function containing(
  windowAt: (number: number) => Window | null,
  from: number,
  day: EpochDay,
  settled: ReadonlySet<number>,
): number | 'again' | null {
  let found: 'again' | null = null;
  for (let number = from; ; number += 1) {
    const window = windowAt(number);
    if (window === null || window.early > day || !Number.isFinite(window.due)) return found;
    if (window.late < day) continue;
    if (!settled.has(number)) return number;
    found = 'again';
  }
}

// counted in one step from the anchor: adding months one at a time would lose the 31st
function intervalTo(series: Series, number: number): Interval {
  const { first, each } = series;
  const sum = (a: number | null, b: number | null): number | null =>
    a === null && b === null ? null : (a ?? 0) + (b ?? 0) * (number - 1);
  return {
    months: sum(first.months, each.months),
    days: sum(first.days, each.days),
    km: sum(first.km, each.km),
    engineHours: sum(first.engineHours, each.engineHours),
  };
}
