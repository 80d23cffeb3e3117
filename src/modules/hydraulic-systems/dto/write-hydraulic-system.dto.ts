import { ApiProperty, PartialType } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import { IsIn, IsNumber, IsObject, Max, Min, ValidateNested } from 'class-validator';
import {
  FITTED_ANSWERS,
  LAYOUT_FACTS,
  PUMP_KINDS,
  STEERING_REGULATORS,
  STEERING_SUPPLIES,
  type FittedAnswer,
  type HydraulicLayout,
  type LayoutEvidenceByFact,
  type PumpKind,
  type SteeringRegulator,
  type SteeringSupply,
} from '../../../core/hydraulics/hydraulic-layout';
import { IsCode } from '../../../platform/http/is-code';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';
import { LayoutEvidenceByFactDto } from './layout-evidence.dto';

const LARGEST_RESERVOIR_LITRES = 500;
const SMALLEST_RESERVOIR_LITRES = 0.1;

/** What is known of a hydraulic system, as a whole; `unverified` is an answer. */
export class RecordHydraulicSystemDto {
  @IsIn(PUMP_KINDS)
  @ApiProperty({ enum: PUMP_KINDS })
  pumpKind!: PumpKind;

  @IsIn(FITTED_ANSWERS)
  @ApiProperty({ enum: FITTED_ANSWERS })
  antiSinkValves!: FittedAnswer;

  @IsIn(FITTED_ANSWERS)
  @ApiProperty({ enum: FITTED_ANSWERS })
  rearBrakeAccumulator!: FittedAnswer;

  @IsIn(STEERING_SUPPLIES)
  @ApiProperty({ enum: STEERING_SUPPLIES })
  steeringSupply!: SteeringSupply;

  @IsIn(STEERING_REGULATORS)
  @ApiProperty({ enum: STEERING_REGULATORS })
  steeringRegulator!: SteeringRegulator;

  /** `mineral` (ISO 7308), `glycol` (ISO 4925) or a code of your own; null or absent is unverified. */
  @MayBeNull()
  @IsCode()
  fluid?: string | null;

  /** Litres of the whole fill; null or absent is unverified. */
  @MayBeNull()
  @IsNumber()
  @Min(SMALLEST_RESERVOIR_LITRES)
  @Max(LARGEST_RESERVOIR_LITRES)
  reservoirLitres?: number | null;

  /** Who saw which fact, when and how. */
  @MayBeAbsent()
  @IsObject()
  @ValidateNested()
  @Type(() => LayoutEvidenceByFactDto)
  @ApiProperty({ required: false, type: LayoutEvidenceByFactDto })
  evidence?: LayoutEvidenceByFactDto;
}

/** Facts to try; what is left out is unverified, and without `evidence` none is asked for. */
export class DeriveHydraulicLayoutDto extends PartialType(RecordHydraulicSystemDto, {
  // what may be left out may not be null for that
  skipNullProperties: false,
}) {}

/** What is left out is unverified. */
export function layoutOf(body: Partial<HydraulicLayout>): HydraulicLayout {
  return {
    pumpKind: body.pumpKind ?? 'unverified',
    antiSinkValves: body.antiSinkValves ?? 'unverified',
    rearBrakeAccumulator: body.rearBrakeAccumulator ?? 'unverified',
    steeringSupply: body.steeringSupply ?? 'unverified',
    steeringRegulator: body.steeringRegulator ?? 'unverified',
    fluid: body.fluid ?? null,
    reservoirLitres: body.reservoirLitres ?? null,
  };
}

export function evidenceOf(evidence: LayoutEvidenceByFact): LayoutEvidenceByFact {
  return Object.fromEntries(
    LAYOUT_FACTS.flatMap((fact) => {
      const seen = evidence[fact];
      return seen === undefined ? [] : [[fact, { seenBy: seen.seenBy, seenOn: seen.seenOn, how: seen.how }]];
    }),
  );
}
