import { retryDelayMs } from './retry-schedule';
import type { Verdict } from './verdict';

/** What becomes of a delivery. */
export type Standing =
  | { state: 'delivered' | 'dead'; failedAttempts: number }
  | { state: 'waiting'; failedAttempts: number; nextAttemptAt: number };

/**
 * What an attempt makes of its delivery. An attempt that was answered with "gone" is none: the delivery stays where it
 * is until somebody opens the endpoint again.
 *
 * @param failedAttempts those since the delivery was made or replayed
 * @param now milliseconds since 1970
 * @param chance from 0 up to but not including 1, for the jitter
 */
export function afterAttempt(
  failedAttempts: number,
  { kind, retryAfterMs }: Verdict,
  now: number,
  chance: number,
): Standing {
  if (kind === 'delivered') return { state: 'delivered', failedAttempts };
  if (kind === 'gone') return { state: 'waiting', failedAttempts, nextAttemptAt: now };
  const failed = failedAttempts + 1;
  const delay = retryDelayMs(failed, chance);
  if (delay === null) return { state: 'dead', failedAttempts: failed };
  return {
    state: 'waiting',
    failedAttempts: failed,
    nextAttemptAt: now + Math.max(delay, retryAfterMs ?? 0),
  };
}
