const SECOND = 1_000;
const MINUTE = 60 * SECOND;
const HOUR = 60 * MINUTE;

/**
 * How long each attempt waits for the end of the one before it: the example schedule of the Standard Webhooks
 * specification, three days and some hours in all.
 */
export const RETRY_DELAYS_MS: readonly number[] = [
  0,
  5 * SECOND,
  5 * MINUTE,
  30 * MINUTE,
  2 * HOUR,
  5 * HOUR,
  10 * HOUR,
  14 * HOUR,
  20 * HOUR,
  24 * HOUR,
];

/** The longest wait that a receiver can ask for with Retry-After. */
export const LONGEST_RETRY_AFTER_MS = 24 * HOUR;

const JITTER = 0.2;

/**
 * The wait after so many failed attempts, null when there are no more. Never less than the schedule says, and up to a
 * fifth more, so that what failed together does not come back together.
 *
 * @param chance from 0 up to but not including 1
 */
export function retryDelayMs(failedAttempts: number, chance: number): number | null {
  const delay = RETRY_DELAYS_MS[failedAttempts];
  return delay === undefined ? null : Math.round(delay * (1 + JITTER * chance));
}
