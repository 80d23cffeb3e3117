import { ApiProperty } from '@nestjs/swagger';
import {
  HYDRAULIC_TESTS,
  type Applicability,
  type HydraulicTest,
} from '../../../core/hydraulics/applicable-tests';
import { CAUTION_CONTEXTS, type CautionContext } from '../../../core/hydraulics/cautions';
import type { LayoutConclusions } from '../../../core/hydraulics/derive-from-layout';
import {
  FITTED_ANSWERS,
  LAYOUT_FACTS,
  PUMP_KINDS,
  STEERING_REGULATORS,
  STEERING_SUPPLIES,
  VARIANT_FACTS,
  type FittedAnswer,
  type LayoutFact,
  type PumpKind,
  type SteeringRegulator,
  type SteeringSupply,
  type VariantFact,
} from '../../../core/hydraulics/hydraulic-layout';
import type { InspectionTask } from '../../../core/hydraulics/inspection-tasks';
import type { FactBasis } from '../../../core/hydraulics/layout-conclusions';
import type { SettlingVerdict } from '../../../core/hydraulics/overnight-settling';
import type { RearBrakeFeed } from '../../../core/hydraulics/rear-brake-feed';
import type { SafetyFinding } from '../../../core/hydraulics/safety-findings';
import {
  UNIT_POSITIONS,
  type PositionExpectation,
  type UnitPosition,
} from '../../../core/hydraulics/unit-positions';

const FACT_BASES = ['recorded', 'follows', 'unknown', 'disputed'] as const satisfies readonly FactBasis[];

export class LayoutFactsDto {
  @ApiProperty({ enum: PUMP_KINDS })
  pumpKind!: PumpKind;
  @ApiProperty({ enum: FITTED_ANSWERS })
  antiSinkValves!: FittedAnswer;
  @ApiProperty({ enum: FITTED_ANSWERS })
  rearBrakeAccumulator!: FittedAnswer;
  @ApiProperty({ enum: STEERING_SUPPLIES })
  steeringSupply!: SteeringSupply;
  @ApiProperty({ enum: STEERING_REGULATORS })
  steeringRegulator!: SteeringRegulator;
  /** `mineral` (ISO 7308), `glycol` (ISO 4925) or a code of the operator's own; null is unverified. */
  fluid!: string | null;
  /** Null is unverified. */
  reservoirLitres!: number | null;
}

export class LayoutContradictionDto {
  /** Code of the rule that the facts break. */
  code!: string;
  @ApiProperty({ enum: VARIANT_FACTS, isArray: true })
  fields!: VariantFact[];
  reason!: string;
  remedy!: string;
}

export class FollowingFactDto {
  @ApiProperty({ enum: VARIANT_FACTS })
  fact!: VariantFact;
  value!: string;
  /** Code of the rule that it follows by. */
  by!: string;
  because!: string;
}

export class ExcludedValueDto extends FollowingFactDto {}

export class FactBasisDto {
  @ApiProperty({ enum: FACT_BASES })
  pumpKind!: FactBasis;
  @ApiProperty({ enum: FACT_BASES })
  antiSinkValves!: FactBasis;
  @ApiProperty({ enum: FACT_BASES })
  rearBrakeAccumulator!: FactBasis;
  @ApiProperty({ enum: FACT_BASES })
  steeringSupply!: FactBasis;
  @ApiProperty({ enum: FACT_BASES })
  steeringRegulator!: FactBasis;
}

/** The layout to work by: what is recorded, plus what follows, less what is disputed. */
export class EffectiveLayoutDto {
  layout!: LayoutFactsDto;
  /** Where each fact comes from. */
  basis!: FactBasisDto;
}

/** Something that a person has to look at on the vehicle. */
export class InspectionTaskDto {
  @ApiProperty({ enum: LAYOUT_FACTS })
  fact!: LayoutFact;
  @ApiProperty({ enum: ['unverified', 'disputed', 'follows-but-not-seen', 'no-evidence'] })
  why!: InspectionTask['why'];
  /** `before-work`: before anybody works on the system; `next-visit`: when the vehicle is in anyway. */
  @ApiProperty({ enum: ['before-work', 'next-visit'] })
  urgency!: InspectionTask['urgency'];
  lookAt!: string;
  how!: string;
  /** What can hurt somebody while looking. */
  careful!: string;
  /** Values that are ruled out already. */
  excluded!: ExcludedValueDto[];
}

export class PositionExpectationDto {
  @ApiProperty({ enum: UNIT_POSITIONS })
  position!: UnitPosition;
  @ApiProperty({ enum: ['expected', 'not-expected', 'unknown'] })
  unit!: PositionExpectation['unit'];
}

export class TestApplicabilityDto {
  @ApiProperty({ enum: HYDRAULIC_TESTS })
  test!: HydraulicTest;
  @ApiProperty({ enum: ['applies', 'does-not-apply', 'unknown'] })
  applicability!: Applicability;
  because!: string;
}

/** A safety-critical finding about the layout. */
export class SafetyFindingDto {
  /** @example no-rear-brake-reserve-behind-anti-sink-valves */
  @ApiProperty({ type: String })
  code!: SafetyFinding['code'];
  /** `stands`: do not release the vehicle. `possible`: nothing known excludes it, so look first. */
  @ApiProperty({ enum: ['stands', 'possible'] })
  status!: SafetyFinding['status'];
  because!: string;
  remedy!: string;
}

/** A place where the maker's workshop manual rules. */
export class ManualNoteDto {
  code!: string;
  @ApiProperty({ enum: VARIANT_FACTS, isArray: true })
  facts!: VariantFact[];
  text!: string;
}

/** A warning to be shown where the work can hurt someone. */
export class LayoutCautionDto {
  code!: string;
  text!: string;
  @ApiProperty({ enum: CAUTION_CONTEXTS, isArray: true })
  shownFor!: CautionContext[];
}

/** Everything that follows from the facts of a layout; none of it is ever recorded by hand. */
export class LayoutConclusionsDto {
  /** A record with contradictions is refused. */
  contradictions!: LayoutContradictionDto[];
  /** Facts that nobody recorded and that are certain all the same. */
  follows!: FollowingFactDto[];
  excluded!: ExcludedValueDto[];
  effective!: EffectiveLayoutDto;
  /** What must still be looked at. */
  inspections!: InspectionTaskDto[];
  /** Where gas units are to be expected. */
  positions!: PositionExpectationDto[];
  tests!: TestApplicabilityDto[];
  /** What feeds the rear brakes with the pump stopped. */
  @ApiProperty({ enum: ['rear-suspension', 'rear-brake-accumulator', 'nothing', 'unknown'] })
  rearBrakeFeed!: RearBrakeFeed;
  /** What it means when the vehicle settles overnight. */
  @ApiProperty({ enum: ['normal', 'fault', 'unknown'] })
  overnightSettling!: SettlingVerdict;
  safetyFindings!: SafetyFindingDto[];
  manualNotes!: ManualNoteDto[];
  cautions!: LayoutCautionDto[];
}

export function toLayoutConclusionsDto(conclusions: LayoutConclusions): LayoutConclusionsDto {
  return {
    ...conclusions,
    manualNotes: conclusions.manualNotes.map((note) => ({ ...note, facts: [...note.facts] })),
    cautions: conclusions.cautions.map((caution) => ({ ...caution, shownFor: [...caution.shownFor] })),
  };
}
