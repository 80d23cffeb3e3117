export const TEST_OUTCOMES = ['passed', 'failed', 'inconclusive'] as const;

export type TestOutcome = (typeof TEST_OUTCOMES)[number];

/** What a test shows, with every reason in a sentence. */
export interface TestJudgement {
  readonly outcome: TestOutcome;
  readonly reasons: readonly string[];
}

/** One thing that a test looked at; a `note` decides nothing. */
export interface TestFinding {
  readonly verdict: 'good' | 'bad' | 'unknown' | 'note';
  readonly sentence: string;
}

/**
 * The outcome of a test from what it looked at: one bad finding fails it, one that cannot be told leaves an
 * otherwise good test inconclusive. A test without a good finding is not passed.
 */
export function judgeFindings(findings: readonly TestFinding[]): TestJudgement {
  const has = (verdict: TestFinding['verdict']): boolean => findings.some((each) => each.verdict === verdict);
  return {
    outcome: has('bad') ? 'failed' : has('good') && !has('unknown') ? 'passed' : 'inconclusive',
    reasons: findings.map(({ sentence }) => sentence),
  };
}

/** The finding about a limit that the service programme does not set. */
export function missingLimit(what: string, ...limits: readonly string[]): TestFinding {
  const names = limits.join(' and ');
  return {
    verdict: 'unknown',
    sentence: `${what} cannot be judged: the service programme sets no ${names}. Add it to the rule of this test.`,
  };
}
