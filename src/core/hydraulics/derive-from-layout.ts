import { applicableTests, TestApplicability } from './applicable-tests';
import { Caution, cautionsFor } from './cautions';
import { HydraulicLayout, LayoutEvidenceByFact } from './hydraulic-layout';
import { InspectionTask, inspectionTasks } from './inspection-tasks';
import {
  contradictionsIn,
  effectiveLayout,
  EffectiveLayout,
  ExcludedValue,
  excludedValues,
  factsThatFollow,
  FollowingFact,
  LayoutContradiction,
} from './layout-conclusions';
import { ManualNote, manualNotes } from './manual-notes';
import { overnightSettling, SettlingVerdict } from './overnight-settling';
import { RearBrakeFeed, rearBrakeFeed } from './rear-brake-feed';
import { RearBrakeAccumulatorTest, SafetyFinding, safetyFindings } from './safety-findings';
import { expectedUnitPositions, PositionExpectation } from './unit-positions';

/** What is known besides the layout itself. */
export interface LayoutContext {
  /** Who saw which fact. Leave it out to not ask for evidence. */
  evidence?: LayoutEvidenceByFact;
  /** Latest test of the rear brake accumulator; `none` if left out. */
  rearBrakeAccumulatorTest?: RearBrakeAccumulatorTest;
}

/** Everything that follows from a recorded layout. Nothing of it is ever stored by hand. */
export interface LayoutConclusions {
  contradictions: LayoutContradiction[];
  follows: FollowingFact[];
  excluded: ExcludedValue[];
  effective: EffectiveLayout;
  inspections: InspectionTask[];
  positions: PositionExpectation[];
  tests: TestApplicability[];
  rearBrakeFeed: RearBrakeFeed;
  overnightSettling: SettlingVerdict;
  safetyFindings: SafetyFinding[];
  manualNotes: ManualNote[];
  cautions: Caution[];
}

/**
 * Derives everything that the trade knows from a recorded hydraulic layout: contradictions (a record with one
 * is to be refused), what follows, what has to be looked at, expected gas units, tests that apply, what feeds
 * the rear brakes, safety findings, places where the maker's manual rules, and cautions.
 *
 * Three-valued throughout: what is not certain is `unknown`, never assumed. Recording a further fact never
 * takes a certain conclusion back, unless the new fact contradicts the old ones.
 * Source of the rules: common practice, no published source.
 */
export function deriveFromLayout(layout: HydraulicLayout, context: LayoutContext = {}): LayoutConclusions {
  const effective = effectiveLayout(layout);
  return {
    contradictions: contradictionsIn(layout),
    follows: factsThatFollow(layout),
    excluded: excludedValues(layout),
    effective,
    inspections: inspectionTasks(layout, context.evidence),
    positions: expectedUnitPositions(effective.layout),
    tests: applicableTests(effective.layout),
    rearBrakeFeed: rearBrakeFeed(effective.layout),
    overnightSettling: overnightSettling(effective.layout),
    safetyFindings: safetyFindings(layout, context.rearBrakeAccumulatorTest),
    manualNotes: manualNotes(effective.layout),
    cautions: cautionsFor(effective.layout),
  };
}
