import {
  LAYOUT_FACTS,
  type HydraulicLayout,
  type LayoutEvidence,
  type LayoutEvidenceByFact,
  type LayoutFact,
} from '../../../../core/hydraulics/hydraulic-layout';

/** What somebody enters about a fluid system: facts, and how they came to know those that they saw. */
export interface LayoutInput extends Omit<HydraulicLayout, 'fluid' | 'reservoirLitres'> {
  /** empty: not verified */
  fluid: string;
  reservoirLitres: string;
  seen: LayoutFact[];
  seenBy: string;
  seenOn: string;
  how: string;
}

/** What is recorded, in one piece. */
export interface LayoutRecord extends HydraulicLayout {
  evidence: LayoutEvidenceByFact;
}

/** The layout that an input says. @param litres what was typed as a number, null where nothing was */
export function layoutOf(input: LayoutInput, litres: number | null): HydraulicLayout {
  const { pumpKind, antiSinkValves, rearBrakeAccumulator, steeringSupply, steeringRegulator } = input;
  const fluid = input.fluid.trim();
  return {
    pumpKind,
    antiSinkValves,
    rearBrakeAccumulator,
    steeringSupply,
    steeringRegulator,
    fluid: fluid === '' ? null : fluid,
    reservoirLitres: litres,
  };
}

/**
 * The record to be stored: what was seen now has new evidence, what stayed as it was keeps its own, and what changed
 * without being seen, or is no longer known, has none.
 */
export function recordOf(
  before: LayoutRecord,
  after: HydraulicLayout,
  seen: readonly LayoutFact[],
  evidence: LayoutEvidence,
): LayoutRecord {
  const kept: LayoutEvidenceByFact = {};
  for (const fact of LAYOUT_FACTS) {
    if (after[fact] === null || after[fact] === 'unverified') continue;
    const own = seen.includes(fact)
      ? evidence
      : after[fact] === before[fact]
        ? before.evidence[fact]
        : undefined;
    if (own !== undefined) kept[fact] = own;
  }
  return { ...after, evidence: kept };
}
