import { judgeCutInCutOut, RegulatorLimits, RegulatorReading } from './judge-cut-in-cut-out';
import { judgeFindings, missingLimit, TestFinding, TestJudgement } from './judge-findings';

/** What the stopwatch test says of gas and leakage. */
export interface CycleDiagnosis {
  readonly verdict: 'healthy' | 'gas-loss' | 'system-leakage' | 'both' | 'cannot-be-told';
  /** Every reason with its numbers, that about the interval first. */
  readonly reasons: readonly string[];
}

/** A regulator cycle test as far as it went. */
export interface RegulatorCycle extends RegulatorReading {
  /** From one cut-in to the next. */
  readonly intervalSeconds: number;
  /** Null where it could not be made. */
  readonly diagnosis: CycleDiagnosis | null;
  /** Why there is no diagnosis; null where there is one. */
  readonly gap: TestFinding | null;
}

export interface CycleLimits extends RegulatorLimits {
  readonly shortestCycleSeconds: number | null;
}

/**
 * Judges a regulator cycle test: the interval, cut-in and cut-out as far as they were read, and the diagnosis. Gas
 * loss or leakage that is found fails the test. A diagnosis that cannot be made does not hold up an interval and
 * pressures that are right: the interval is what the test is passed by, the diagnosis says where to look.
 */
export function judgeRegulatorCycle(
  cycle: RegulatorCycle,
  limits: CycleLimits,
  isGaugeOverdue: boolean,
): TestJudgement {
  const { diagnosis, gap } = cycle;
  const [ofInterval, ...ofDiagnosis] = diagnosis?.reasons ?? [];
  const interval = judgeInterval(cycle.intervalSeconds, limits.shortestCycleSeconds);
  const isFault = diagnosis !== null && !['healthy', 'cannot-be-told'].includes(diagnosis.verdict);
  return judgeFindings([
    ofInterval === undefined ? interval : { ...interval, sentence: ofInterval },
    ...ofDiagnosis.map((sentence): TestFinding => ({ verdict: isFault ? 'bad' : 'note', sentence })),
    ...judgeCutInCutOut(cycle, limits, isGaugeOverdue),
    ...(gap === null ? [] : [gap]),
  ]);
}

function judgeInterval(intervalSeconds: number, shortestSeconds: number | null): TestFinding {
  const interval = `The pump cuts in every ${intervalSeconds.toFixed(1)} s`;
  if (shortestSeconds === null) return missingLimit(interval, 'shortestCycleSeconds');
  return intervalSeconds < shortestSeconds
    ? { verdict: 'bad', sentence: `${interval}, more often than every ${shortestSeconds} s.` }
    : { verdict: 'good', sentence: `${interval}, not more often than every ${shortestSeconds} s.` };
}
