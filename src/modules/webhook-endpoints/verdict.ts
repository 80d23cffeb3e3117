import { DateTime } from 'luxon';
import type { PostOutcome } from '../../platform/outbound/post-message';
import { LONGEST_RETRY_AFTER_MS } from './retry-schedule';

/** What an answer means: taken in, to be tried again, or never to be sent there again. */
export interface Verdict {
  kind: 'delivered' | 'failed' | 'gone';
  /** how long the receiver wants to be left alone, null where it does not say */
  retryAfterMs: number | null;
}

const GONE = 410;
const ASKS_FOR_PATIENCE: readonly number[] = [429, 503];

/**
 * Judges what came of a message: 2xx is success, 410 asks for no more, everything else is a failure, redirects
 * included (Standard Webhooks).
 *
 * @param now milliseconds since 1970, for a Retry-After that names a moment
 */
export function verdictOf(outcome: PostOutcome, now: number): Verdict {
  if (outcome.kind === 'failed') return { kind: 'failed', retryAfterMs: null };
  const { status, retryAfter } = outcome;
  if (status >= 200 && status < 300) return { kind: 'delivered', retryAfterMs: null };
  if (status === GONE) return { kind: 'gone', retryAfterMs: null };
  const patience = ASKS_FOR_PATIENCE.includes(status) && retryAfter !== null;
  return { kind: 'failed', retryAfterMs: patience ? waitOf(retryAfter, now) : null };
}

// RFC 9110, section 10.2.3: seconds, or a date
function waitOf(retryAfter: string, now: number): number | null {
  const text = retryAfter.trim();
  const wait = /^\d+$/.test(text) ? Number(text) * 1_000 : DateTime.fromHTTP(text).toMillis() - now;
  return Number.isNaN(wait) ? null : Math.min(Math.max(0, wait), LONGEST_RETRY_AFTER_MS);
}
