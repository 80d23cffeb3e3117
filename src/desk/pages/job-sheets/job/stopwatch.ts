/**
 * Times of the pressure regulator, taken by one button: the first press when the pump cuts in, then one at each cut-out
 * and cut-in. Only the moments are kept, so that it goes on although the page was closed.
 */
export interface Stopwatch {
  /** milliseconds since the epoch, cut-in first */
  presses: number[];
  stopped: boolean;
}

export const UNUSED: Stopwatch = { presses: [], stopped: false };

export type Phase = 'ready' | 'charging' | 'idling' | 'stopped';

/** Seconds; null for what was not timed to its end. */
export interface CycleTimes {
  chargeSeconds: number | null;
  idleSeconds: number | null;
  /** complete cycles that the times are the mean of */
  cycles: number;
}

export function phaseOf({ presses, stopped }: Stopwatch): Phase {
  if (stopped) return 'stopped';
  if (presses.length === 0) return 'ready';
  return presses.length % 2 === 1 ? 'charging' : 'idling';
}

/** @param at milliseconds since the epoch */
export function pressed(stopwatch: Stopwatch, at: number): Stopwatch {
  if (stopwatch.stopped) return { presses: [at], stopped: false };
  const last = stopwatch.presses.at(-1);
  // a glove presses twice; the clock of a device may be set back
  if (last !== undefined && at <= last + SHORTEST_PHASE_MS) return stopwatch;
  return { presses: [...stopwatch.presses, at], stopped: false };
}

/** No phase of a regulator is shorter than this. */
const SHORTEST_PHASE_MS = 150;

export function stopped(stopwatch: Stopwatch): Stopwatch {
  return stopwatch.presses.length === 0 ? UNUSED : { ...stopwatch, stopped: true };
}

/** Means over the phases that were timed to their end, to a tenth of a second. */
export function cycleTimes({ presses }: Stopwatch): CycleTimes {
  const lengths = presses.slice(1).map((at, index) => at - (presses[index] ?? at));
  const charges = lengths.filter((_, index) => index % 2 === 0);
  const idles = lengths.filter((_, index) => index % 2 === 1);
  return { chargeSeconds: meanSeconds(charges), idleSeconds: meanSeconds(idles), cycles: idles.length };
}

/** What the running phase has taken so far, in seconds; 0 while nothing runs. */
export function runningSeconds({ presses, stopped: isStopped }: Stopwatch, now: number): number {
  const last = presses.at(-1);
  return isStopped || last === undefined ? 0 : Math.max(0, (now - last) / 1000);
}

function meanSeconds(lengths: readonly number[]): number | null {
  if (lengths.length === 0) return null;
  const mean = lengths.reduce((sum, each) => sum + each, 0) / lengths.length / 1000;
  return Math.round(mean * 10) / 10;
}
