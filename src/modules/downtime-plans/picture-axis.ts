import { DateTime } from 'luxon';

export interface RoundAxis {
  readonly min: number;
  readonly max: number;
  readonly interval: number;
}

/** Round figures that take in `from` and `to`, some six steps of 1, 2 or 5 times a power of ten, whole numbers. */
export function roundAxis(from: number, to: number): RoundAxis {
  const raw = Math.max(1, (to - from) / 6);
  const power = 10 ** Math.floor(Math.log10(raw));
  const interval = ([1, 2, 5].find((factor) => factor * power >= raw) ?? 10) * power;
  const min = Math.floor(from / interval) * interval;
  return { min, max: Math.max(min + interval, Math.ceil(to / interval) * interval), interval };
}

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
