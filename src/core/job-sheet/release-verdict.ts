import { JobSheet, SheetStep } from './job-sheet';

/** How a step ended. */
export const STEP_OUTCOMES = ['passed', 'failed', 'inconclusive', 'done', 'not-done'] as const;

export type StepOutcome = (typeof STEP_OUTCOMES)[number];

export interface ReleaseVerdict {
  decision: 'release' | 'hold';
  /** Why it is held; empty for a release. */
  reasons: string[];
}

/**
 * Whether a vehicle may go back to the road after a job. Held where a safety-critical step failed, a check before
 * release was not passed, anything else holds the vehicle, or somebody asks for it. Nobody can ask for a release in
 * spite of that. Work that was not done does not hold: it stays due.
 *
 * @param outcomes by step key
 * @param standing what holds the vehicle by its records, after the results were recorded
 * @param asked a person's reason to hold it; null where nobody asks
 */
export function releaseVerdict(
  { steps }: Pick<JobSheet, 'steps'>,
  outcomes: ReadonlyMap<string, StepOutcome>,
  standing: readonly string[],
  asked: string | null,
): ReleaseVerdict {
  const reasons = [
    ...steps.flatMap((step) => failing(step, outcomes.get(step.key) ?? 'not-done')),
    ...standing,
    ...(asked === null ? [] : [asked]),
  ];
  return { decision: reasons.length === 0 ? 'release' : 'hold', reasons };
}

function failing({ title, why, safetyCritical }: SheetStep, outcome: StepOutcome): string[] {
  if (safetyCritical && outcome === 'failed') return [`Failed: ${title}.`];
  if (why !== 'release-check' || outcome === 'passed') return [];
  return [outcome === 'inconclusive' ? `Not certain: ${title}.` : `Not done: ${title}.`];
}
