import { SheetStep } from './job-sheet';

/** How a step ended. */
export const STEP_OUTCOMES = ['passed', 'failed', 'inconclusive', 'done', 'not-done'] as const;

export type StepOutcome = (typeof STEP_OUTCOMES)[number];

/** What the verdict looks at in a sheet. */
export interface SheetToRelease {
  readonly steps: readonly Pick<SheetStep, 'key' | 'title' | 'safetyCritical' | 'beforeRelease'>[];
}

/** A step that keeps the vehicle off the road, with the reason in a sentence. */
export interface HoldingStep {
  key: string;
  sentence: string;
}

export interface ReleaseVerdict {
  decision: 'release' | 'hold';
  /** Why it is held; empty for a release. */
  reasons: string[];
}

/**
 * The steps that keep a vehicle off the road: a safety-critical one that failed, and a check before release that was
 * not passed. Work that was not done does not hold: it stays due.
 *
 * @param outcomes by step key; a step without one was not done
 */
export function holdingSteps(
  { steps }: SheetToRelease,
  outcomes: ReadonlyMap<string, StepOutcome>,
): HoldingStep[] {
  return steps.flatMap((step) => {
    const sentence = sentenceOf(step, outcomes.get(step.key) ?? 'not-done');
    return sentence === null ? [] : [{ key: step.key, sentence }];
  });
}

/**
 * Whether a vehicle may go back to the road after a job. Held where a step holds it (`holdingSteps`), anything else
 * holds it, or somebody asks for it. Nobody can ask for a release in spite of that.
 *
 * @param outcomes by step key
 * @param standing what holds the vehicle by its records, after the results were recorded
 * @param asked a person's reason to hold it; null where nobody asks
 */
export function releaseVerdict(
  sheet: SheetToRelease,
  outcomes: ReadonlyMap<string, StepOutcome>,
  standing: readonly string[],
  asked: string | null,
): ReleaseVerdict {
  const reasons = [
    ...holdingSteps(sheet, outcomes).map(({ sentence }) => sentence),
    ...standing,
    ...(asked === null ? [] : [asked]),
  ];
  return { decision: reasons.length === 0 ? 'release' : 'hold', reasons };
}

function sentenceOf(
  { title, beforeRelease, safetyCritical }: SheetToRelease['steps'][number],
  outcome: StepOutcome,
): string | null {
  if ((safetyCritical || beforeRelease) && outcome === 'failed') return `Failed: ${title}.`;
  if (!beforeRelease || outcome === 'passed') return null;
  return outcome === 'inconclusive' ? `Not certain: ${title}.` : `Not done: ${title}.`;
}
