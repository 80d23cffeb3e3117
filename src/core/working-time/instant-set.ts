import { assert } from '../shared/assert';
import { InputError } from '../shared/input-error';

/** From `startsAt` (inclusive) until `endsAt` (exclusive), in milliseconds since the epoch. */
export interface Period {
  readonly startsAt: number;
  readonly endsAt: number;
}

/**
 * A set of instants as half-open intervals in one flat array: from, until, from, until … The numbers
 * (milliseconds since the epoch, or an infinity at either end) grow strictly, so intervals that touch are one.
 */
export type InstantSet = readonly number[];

/**
 * The instants of some periods; they may overlap and stand in any order. Linear in time where they are already
 * in order of start.
 *
 * @throws InputError naming `field` where a period does not end after it starts
 */
export function instantSetOf(periods: readonly Period[], field = 'periods'): InstantSet {
  const set: number[] = [];
  let before = -Infinity;
  for (let i = 0; i < periods.length; i++) {
    const { startsAt, endsAt } = periods[i] as Period;
    if (!(startsAt < endsAt))
      throw new InputError(field, 'a period does not end after it starts', 'give a later end');
    if (startsAt < before)
      return instantSetOf(
        [...periods].sort((a, b) => a.startsAt - b.startsAt),
        field,
      );
    append(set, startsAt, endsAt);
    before = startsAt;
  }
  return set;
}

/** The intervals of a set as periods. */
export function periodsOf(set: InstantSet): Period[] {
  const periods: Period[] = [];
  for (let i = 0; i < set.length; i += 2) periods.push({ startsAt: at(set, i), endsAt: at(set, i + 1) });
  return periods;
}

/** Instants in either set. Linear in time. */
export function unionOf(a: InstantSet, b: InstantSet): InstantSet {
  const union: number[] = [];
  let [i, j] = [0, 0];
  while (i < a.length || j < b.length) {
    if (j >= b.length || (i < a.length && at(a, i) <= at(b, j))) {
      append(union, at(a, i), at(a, i + 1));
      i += 2;
    } else {
      append(union, at(b, j), at(b, j + 1));
      j += 2;
    }
  }
  return union;
}

/** Instants in both sets. Linear in time. */
export function intersectionOf(a: InstantSet, b: InstantSet): InstantSet {
  const common: number[] = [];
  let [i, j] = [0, 0];
  while (i < a.length && j < b.length) {
    const from = Math.max(at(a, i), at(b, j));
    const until = Math.min(at(a, i + 1), at(b, j + 1));
    if (from < until) common.push(from, until);
    if (at(a, i + 1) < at(b, j + 1)) i += 2;
    else j += 2;
  }
  return common;
}

/** Instants of `a` that are not in `b`. Linear in time. */
export function differenceOf(a: InstantSet, b: InstantSet): InstantSet {
  return intersectionOf(a, complementOf(b, -Infinity, Infinity));
}

/** Instants from `fromAt` until `untilAt` (exclusive) that are not in the set. Linear in time. */
export function complementOf(set: InstantSet, fromAt: number, untilAt: number): InstantSet {
  const rest: number[] = [];
  let cursor = fromAt;
  for (let i = 0; i < set.length && cursor < untilAt; i += 2) {
    const gapEnd = Math.min(at(set, i), untilAt);
    if (cursor < gapEnd) rest.push(cursor, gapEnd);
    cursor = Math.max(cursor, at(set, i + 1));
  }
  if (cursor < untilAt) rest.push(cursor, untilAt);
  return rest;
}

/** Total length in milliseconds. */
export function lengthMs(set: InstantSet): number {
  let sum = 0;
  for (let i = 0; i < set.length; i += 2) sum += at(set, i + 1) - at(set, i);
  return sum;
}

/** Length of the longest interval in milliseconds, 0 for an empty set. */
export function longestMs(set: InstantSet): number {
  let longest = 0;
  for (let i = 0; i < set.length; i += 2) longest = Math.max(longest, at(set, i + 1) - at(set, i));
  return longest;
}

/** Index of the first interval that ends after an instant; the length of the set where none does. Binary search. */
export function intervalEndingAfter(set: InstantSet, instant: number): number {
  let low = 0;
  let high = set.length >> 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (at(set, 2 * middle + 1) > instant) high = middle;
    else low = middle + 1;
  }
  return 2 * low;
}

/** True where every instant from `fromAt` until `untilAt` (exclusive, later) is in the set. */
export function coversPeriod(set: InstantSet, fromAt: number, untilAt: number): boolean {
  const i = intervalEndingAfter(set, fromAt);
  return i < set.length && at(set, i) <= fromAt && at(set, i + 1) >= untilAt;
}

/** Adds an interval that starts no earlier than the last one of the growing set did. */
function append(set: number[], from: number, until: number): void {
  const last = set.length - 1;
  if (last < 0 || from > at(set, last)) set.push(from, until);
  else {
    assert(from >= at(set, last - 1), 'intervals in order of their start');
    if (until > at(set, last)) set[last] = until;
  }
}

function at(set: readonly number[], index: number): number {
  return set[index] as number;
}
