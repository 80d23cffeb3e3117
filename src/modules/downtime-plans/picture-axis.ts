import { DateTime } from 'luxon';

/** As a day stands beside an axis: `3 Aug`. */
export function shortDay(on: string): string {
  return DateTime.fromISO(on, { zone: 'utc', locale: 'en-GB' }).toFormat('d LLL');
}

/** The corners of a line that keeps each value for the width of one and then steps to the next. */
export function steps(values: readonly number[]): [number, number][] {
  return values.flatMap((value, at): [number, number][] => [
    [at, value],
    [at + 1, value],
  ]);
}
