export interface RoundAxis {
  readonly min: number;
  readonly max: number;
  readonly interval: number;
}

/** The next of 1, 2 or 5 times a power of ten, for ticks that are easy to count. */
export function roundInterval(atLeast: number): number {
  const power = 10 ** Math.floor(Math.log10(atLeast));
  return ([1, 2, 5].find((factor) => factor * power >= atLeast) ?? 10) * power;
}

/** Round figures that take in `from` and `to`, some six steps of whole numbers. */
export function roundAxis(from: number, to: number): RoundAxis {
  const interval = roundInterval(Math.max(1, (to - from) / 6));
  const min = Math.floor(from / interval) * interval;
  return { min, max: Math.max(min + interval, Math.ceil(to / interval) * interval), interval };
}
