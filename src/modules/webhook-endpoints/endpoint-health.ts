import type { Verdict } from './verdict';

/** How an endpoint has been answering. */
export interface EndpointHealth {
  /** since when every attempt has failed; null while they succeed */
  failingSince: number | null;
  /** nothing is sent before */
  resumeAt: number | null;
}

export type DisabledReason = 'gone' | 'unreachable';

const FIVE_DAYS_MS = 5 * 24 * 3_600_000;

/**
 * What attempts that ended together say of their endpoint. One success clears what failed beside it; a receiver that
 * has taken nothing for five days, longer than one delivery is tried, is given up.
 *
 * @param now milliseconds since 1970
 */
export function healthAfter(
  before: EndpointHealth,
  verdicts: readonly Verdict[],
  now: number,
): EndpointHealth & { disabled: DisabledReason | null } {
  if (verdicts.length === 0) return { ...before, disabled: null };
  const waits = verdicts.map(({ retryAfterMs }) => retryAfterMs ?? 0);
  const longest = Math.max(...waits);
  const resumeAt = longest > 0 ? now + longest : before.resumeAt;
  if (verdicts.some(({ kind }) => kind === 'gone'))
    return { failingSince: before.failingSince, resumeAt, disabled: 'gone' };
  if (verdicts.some(({ kind }) => kind === 'delivered'))
    return { failingSince: null, resumeAt, disabled: null };
  const failingSince = before.failingSince ?? now;
  return { failingSince, resumeAt, disabled: now - failingSince >= FIVE_DAYS_MS ? 'unreachable' : null };
}
