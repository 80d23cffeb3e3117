import fc from 'fast-check';
import { afterAttempt } from '../../src/modules/webhook-endpoints/after-attempt';
import { healthAfter } from '../../src/modules/webhook-endpoints/endpoint-health';
import { endpointState } from '../../src/modules/webhook-endpoints/endpoint-state';
import { RETRY_DELAYS_MS, retryDelayMs } from '../../src/modules/webhook-endpoints/retry-schedule';
import { verdictOf, type Verdict } from '../../src/modules/webhook-endpoints/verdict';
import type { PostOutcome } from '../../src/platform/outbound/post-message';

const HOUR = 3_600_000;
const NOW = Date.parse('2026-11-25T12:00:00Z');

// Standard Webhooks, specification, commit b2fa7b8719fb75d326b591077f5d1b385cfcdfae: the example of a schedule, and what
// the status of an answer means.

const answered = (status: number, retryAfter: string | null = null): PostOutcome => ({
  kind: 'answered',
  status,
  retryAfter,
  body: '',
  durationMs: 1,
});
const FAILED: Verdict = { kind: 'failed', retryAfterMs: null };

describe('the schedule', () => {
  it('is the example of the specification: at once, 5 s, 5 min, 30 min, 2 h, 5 h, 10 h, 14 h, 20 h, 24 h', () => {
    const cumulative = [
      '0:00:00',
      '0:00:05',
      '0:05:05',
      '0:35:05',
      '2:35:05',
      '7:35:05',
      '17:35:05',
      '31:35:05',
      '51:35:05',
      '75:35:05',
    ];
    let total = 0;
    const shown = RETRY_DELAYS_MS.map((delay) => {
      total += delay / 1_000;
      const two = (value: number): string => String(value).padStart(2, '0');
      return `${Math.floor(total / 3_600)}:${two(Math.floor(total / 60) % 60)}:${two(total % 60)}`;
    });
    expect(shown).toEqual(cumulative);
  });

  it('is kept with up to a fifth on top, never less, and ends', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 20 }),
        fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true }),
        (failed, chance) => {
          const delay = retryDelayMs(failed, chance);
          const stated = RETRY_DELAYS_MS[failed];
          if (stated === undefined) return delay === null;
          return delay !== null && delay >= stated && delay <= stated * 1.2;
        },
      ),
    );
  });

  it('ten failures in a row are the end of a delivery', () => {
    let [failedAttempts, now] = [0, NOW];
    const states: string[] = [];
    for (let attempt = 1; attempt <= 10; attempt++) {
      const standing = afterAttempt(failedAttempts, FAILED, now, 0);
      states.push(standing.state);
      failedAttempts = standing.failedAttempts;
      if (standing.state === 'waiting') now = standing.nextAttemptAt;
    }
    expect(states).toEqual([...Array<string>(9).fill('waiting'), 'dead']);
    expect(now - NOW).toBe(75 * HOUR + 35 * 60_000 + 5_000);
  });
});

describe('what an answer means', () => {
  it.each([
    [200, 'delivered'],
    [201, 'delivered'],
    [204, 'delivered'],
    [299, 'delivered'],
    [100, 'failed'],
    [199, 'failed'],
    [300, 'failed'],
    [301, 'failed'],
    [307, 'failed'],
    [308, 'failed'],
    [400, 'failed'],
    [401, 'failed'],
    [404, 'failed'],
    [410, 'gone'],
    [429, 'failed'],
    [500, 'failed'],
    [502, 'failed'],
    [503, 'failed'],
    [504, 'failed'],
    [0, 'failed'],
  ])('%i: %s', (status, kind) => {
    expect(verdictOf(answered(status), NOW)).toEqual({ kind, retryAfterMs: null });
  });

  it('no answer is a failure', () => {
    const outcome = { kind: 'failed', failure: 'timeout', detail: 'no answer', durationMs: 1 } as const;
    expect(verdictOf(outcome, NOW)).toEqual(FAILED);
  });

  // RFC 9110, section 10.2.3, with its two examples
  it.each([
    [429, '120', 120_000],
    [503, '120', 120_000],
    [503, 'Wed, 25 Nov 2026 12:02:00 GMT', 120_000],
    [503, 'Fri, 31 Dec 1999 23:59:59 GMT', 0],
    [429, ' 7 ', 7_000],
    [429, '0', 0],
    [429, '99999999', 24 * HOUR],
    [429, 'soon', null],
    [429, '', null],
    [500, '120', null],
    [200, '120', null],
  ])('%i with Retry-After "%s" asks for %s ms', (status, retryAfter, wait) => {
    expect(verdictOf(answered(status, retryAfter), NOW).retryAfterMs).toBe(wait);
  });
});

describe('a delivery', () => {
  it('waits as long as the receiver asks for, where that is longer than the schedule', () => {
    expect(afterAttempt(0, { kind: 'failed', retryAfterMs: 60_000 }, NOW, 0)).toMatchObject({
      nextAttemptAt: NOW + 60_000,
    });
    expect(afterAttempt(1, { kind: 'failed', retryAfterMs: 60_000 }, NOW, 0)).toMatchObject({
      nextAttemptAt: NOW + 300_000,
    });
  });

  it('that was answered with "gone" has lost no attempt', () => {
    expect(afterAttempt(3, { kind: 'gone', retryAfterMs: null }, NOW, 0)).toEqual({
      state: 'waiting',
      failedAttempts: 3,
      nextAttemptAt: NOW,
    });
  });
});

describe('an endpoint', () => {
  const well = { failingSince: null, resumeAt: null };
  const DELIVERED: Verdict = { kind: 'delivered', retryAfterMs: null };

  it('fails since its first failure, until a success', () => {
    expect(healthAfter(well, [FAILED], NOW)).toEqual({ failingSince: NOW, resumeAt: null, disabled: null });
    const ill = { failingSince: NOW, resumeAt: null };
    expect(healthAfter(ill, [FAILED], NOW + HOUR)).toMatchObject({ failingSince: NOW, disabled: null });
    expect(healthAfter(ill, [FAILED, DELIVERED], NOW + HOUR)).toMatchObject({
      failingSince: null,
      disabled: null,
    });
    expect(healthAfter(ill, [], NOW + 1_000 * HOUR)).toEqual({ ...ill, disabled: null });
  });

  it('is given up after five days of nothing but failures, not before', () => {
    const ill = { failingSince: NOW, resumeAt: null };
    expect(healthAfter(ill, [FAILED], NOW + 120 * HOUR - 1).disabled).toBeNull();
    expect(healthAfter(ill, [FAILED], NOW + 120 * HOUR).disabled).toBe('unreachable');
    expect(healthAfter(ill, [FAILED, DELIVERED], NOW + 120 * HOUR).disabled).toBeNull();
  });

  it('that is gone is given up at once, whatever else it said', () => {
    expect(healthAfter(well, [DELIVERED, { kind: 'gone', retryAfterMs: null }], NOW).disabled).toBe('gone');
  });

  it('is left alone as long as it asks for, all of it', () => {
    const slow: Verdict = { kind: 'failed', retryAfterMs: 60_000 };
    expect(healthAfter(well, [slow, FAILED, { ...slow, retryAfterMs: 90_000 }], NOW).resumeAt).toBe(
      NOW + 90_000,
    );
  });

  it.each([
    [true, null, null, 'awaiting-consent'],
    [true, null, new Date(NOW), 'active'],
    [false, null, new Date(NOW), 'paused'],
    [false, null, null, 'paused'],
    [false, 'gone', new Date(NOW), 'disabled'],
    [false, 'unreachable', new Date(NOW), 'disabled'],
  ] as const)(
    'enabled %s, ended because of %s, consent at %s: %s',
    (enabled, disabledReason, consentedAt, state) => {
      expect(endpointState({ enabled, disabledReason, consentedAt })).toBe(state);
    },
  );
});
