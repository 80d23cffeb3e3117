import { judgeFindings, missingLimit, TestFinding, TestJudgement } from './judge-findings';

/** Ride height that was lost while the vehicle stood with the engine off; null for an end that was not measured. */
export interface AntiSinkHold {
  readonly hours: number;
  readonly frontLossMm: number | null;
  readonly rearLossMm: number | null;
}

/** What each end lost in an hour; null for an end that was not measured. */
export interface SinkRates {
  readonly frontMmPerHour: number | null;
  readonly rearMmPerHour: number | null;
}

/** @param hold with hours above zero */
export function sinkRates({ hours, frontLossMm, rearLossMm }: AntiSinkHold): SinkRates {
  const rate = (lossMm: number | null): number | null => (lossMm === null ? null : lossMm / hours);
  return { frontMmPerHour: rate(frontLossMm), rearMmPerHour: rate(rearLossMm) };
}

/**
 * Judges a hold test of anti-sink valves. Front and rear have valves of their own, so that an end which nobody
 * measured leaves a test inconclusive that has nothing against it otherwise. Source: common practice, no published
 * source.
 *
 * @param hold with hours above zero
 */
export function judgeAntiSinkHold(
  hold: AntiSinkHold,
  { highestSinkMmPerHour }: { readonly highestSinkMmPerHour: number | null },
): TestJudgement {
  const { frontMmPerHour, rearMmPerHour } = sinkRates(hold);
  const judge = (end: string, lossMm: number | null, rate: number | null): TestFinding => {
    if (lossMm === null || rate === null) {
      return {
        verdict: 'unknown',
        sentence: `The ${end} was not measured, and it has valves of its own: measure both ends.`,
      };
    }
    const sank = `The ${end} sank ${lossMm} mm in ${hold.hours} h, ${rate.toFixed(2)} mm/h`;
    if (highestSinkMmPerHour === null) return missingLimit(sank, 'highestSinkMmPerHour');
    return rate > highestSinkMmPerHour
      ? { verdict: 'bad', sentence: `${sank}, more than the limit of ${highestSinkMmPerHour} mm/h.` }
      : { verdict: 'good', sentence: `${sank}, not more than the limit of ${highestSinkMmPerHour} mm/h.` };
  };
  return judgeFindings([
    judge('front', hold.frontLossMm, frontMmPerHour),
    judge('rear', hold.rearLossMm, rearMmPerHour),
  ]);
}
