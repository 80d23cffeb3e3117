// After how many failed attempts the next ones have to wait, and for how long.

/** Failures that have been counted so far. */
export interface CountedFailures {
  failures: number;
  firstAt: number;
  lastAt: number;
}

export interface FailureLimit {
  /** so many failures have no consequence */
  free: number;
  /** failures are forgotten so long after the first (or after the last, where nothing else is said) */
  windowMs: number;
  from: 'first' | 'last';
}

const HOUR_MS = 3_600_000;
const SHORTEST_WAIT_MS = 30_000;
const LONGEST_WAIT_MS = 900_000;

/** One address, tried from one network. */
export const OF_ADDRESS_AND_NETWORK: FailureLimit = { free: 5, windowMs: 24 * HOUR_MS, from: 'last' };
/** One address, tried from anywhere. */
export const OF_ADDRESS: FailureLimit = { free: 50, windowMs: HOUR_MS, from: 'first' };
/** Any address, tried from one network. */
export const OF_NETWORK: FailureLimit = { free: 100, windowMs: HOUR_MS, from: 'first' };

/**
 * A network that a person has signed in from never waits, until so many attempts from it have failed that somebody in it
 * must be guessing (NIST SP 800-63B-4, section 3.2.2: no more than 100 failures in a row).
 */
export const TRUSTED_UNTIL_FAILURES = 100;

/** A network is known for so long after the last sign-in from it. */
export const NETWORK_KNOWN_FOR_DAYS = 30;
/** When an administrator has unlocked a person, their sign-in waits nowhere for so long. */
export const UNLOCKED_FOR_MINUTES = 15;

/** What still counts of failures, or null where they are forgotten. */
export function stillCounted(
  counted: CountedFailures | null,
  { windowMs, from }: FailureLimit,
  now: number,
): CountedFailures | null {
  if (counted === null) return null;
  return now - (from === 'first' ? counted.firstAt : counted.lastAt) < windowMs ? counted : null;
}

/** How long an attempt has to wait yet: 30 seconds after the last free failure, twice as long after each further one. */
export function waitMs(counted: CountedFailures | null, limit: FailureLimit, now: number): number {
  const counts = stillCounted(counted, limit, now);
  if (counts === null || counts.failures < limit.free) return 0;
  const wait = Math.min(LONGEST_WAIT_MS, SHORTEST_WAIT_MS * 2 ** Math.min(10, counts.failures - limit.free));
  return Math.max(0, counts.lastAt + wait - now);
}

/** The failures with one more. */
export function withOneMore(
  counted: CountedFailures | null,
  limit: FailureLimit,
  now: number,
): CountedFailures {
  const counts = stillCounted(counted, limit, now);
  return { failures: (counts?.failures ?? 0) + 1, firstAt: counts?.firstAt ?? now, lastAt: now };
}
