import { postFailures, type PostOutcome } from '../../platform/outbound/post-message';

export const attemptFailures = [...postFailures, 'event-no-longer-kept'] as const;

export type AttemptFailure = (typeof attemptFailures)[number];

/** One attempt to send a message, as it is kept and shown. */
export interface DeliveryAttempt {
  startedAt: string;
  durationMs: number;
  /** of the answer; null where there was none */
  status: number | null;
  failure: AttemptFailure | null;
  detail: string | null;
  /** the beginning of the answer's body */
  answer: string | null;
}

/** So many of a delivery's attempts are kept, the latest. */
export const ATTEMPTS_KEPT = 20;
const ANSWER_KEPT_CHARACTERS = 500;

export function attemptOf(outcome: PostOutcome, startedAt: number): DeliveryAttempt {
  const { durationMs } = outcome;
  const moment = new Date(startedAt).toISOString();
  if (outcome.kind === 'failed') {
    const { failure, detail } = outcome;
    return { startedAt: moment, durationMs, status: null, failure, detail: storable(detail), answer: null };
  }
  const answer = storable(outcome.body);
  return { startedAt: moment, durationMs, status: outcome.status, failure: null, detail: null, answer };
}

/** An event that was forgotten while it waited for its turn. */
export function attemptWithoutEvent(at: number): DeliveryAttempt {
  const detail = 'the event is older than the change feed keeps events';
  const startedAt = new Date(at).toISOString();
  return { startedAt, durationMs: 0, status: null, failure: 'event-no-longer-kept', detail, answer: null };
}

// What the database stores as text: no U+0000, and no half of a surrogate pair, which UTF-8 does not know.
function storable(text: string): string {
  return Buffer.from(text.slice(0, ANSWER_KEPT_CHARACTERS).replaceAll('\0', '\uFFFD')).toString();
}
