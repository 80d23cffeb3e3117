import { OmitType } from '@nestjs/swagger';
import { IsIn, IsNumber, IsString, Length, Max, Min } from 'class-validator';
import {
  FITTED_ANSWERS,
  PUMP_KINDS,
  STEERING_REGULATORS,
  STEERING_SUPPLIES,
  type FittedAnswer,
  type PumpKind,
  type SteeringRegulator,
  type SteeringSupply,
} from '../../../core/hydraulics/hydraulic-layout';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { IsCode } from '../../../platform/http/is-code';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeNull } from '../../../platform/http/optional-fields';

class LineOfVehicle {
  @IsString()
  @Length(1, 100)
  vehicleKey!: string;

  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;
}

export class DutyChangeLine extends LineOfVehicle {
  @IsCalendarDate()
  fromOn!: string;

  @IsCode()
  dutyClass!: string;

  @MayBeNull()
  @IsString()
  @Length(1, 1000)
  note?: string | null;
}

export class OffRoadPeriodLine extends LineOfVehicle {
  @IsCalendarDate()
  fromOn!: string;

  @IsCalendarDate()
  untilOn!: string;

  @IsString()
  @Length(1, 500)
  reason!: string;
}

export class HydraulicLayoutLine extends OmitType(LineOfVehicle, ['externalKey']) {
  @MayBeNull()
  @IsIn(PUMP_KINDS)
  pumpKind?: PumpKind | null;

  @MayBeNull()
  @IsIn(FITTED_ANSWERS)
  antiSinkValves?: FittedAnswer | null;

  @MayBeNull()
  @IsIn(FITTED_ANSWERS)
  rearBrakeAccumulator?: FittedAnswer | null;

  @MayBeNull()
  @IsIn(STEERING_SUPPLIES)
  steeringSupply?: SteeringSupply | null;

  @MayBeNull()
  @IsIn(STEERING_REGULATORS)
  steeringRegulator?: SteeringRegulator | null;

  @MayBeNull()
  @IsCode()
  fluid?: string | null;

  @MayBeNull()
  @IsNumber()
  @Min(0.1)
  @Max(500)
  reservoirLitres?: number | null;

  @MayBeNull()
  @IsString()
  @Length(1, 200)
  seenBy?: string | null;

  @MayBeNull()
  @IsCalendarDate()
  seenOn?: string | null;

  @MayBeNull()
  @IsString()
  @Length(1, 500)
  how?: string | null;
}

const METERS = ['odometer', 'engine-hours'] as const;
const UNITS = ['km', 'mi', 'h'] as const;

export class OdometerReplacementLine extends LineOfVehicle {
  @MayBeNull()
  @IsIn(METERS)
  meter?: (typeof METERS)[number] | null;

  @IsInstant()
  replacedAt!: string;

  @IsNumber()
  @Min(0)
  @Max(5_000_000)
  oldFinalValue!: number;

  @MayBeNull()
  @IsIn(UNITS)
  oldUnit?: (typeof UNITS)[number] | null;

  @IsNumber()
  @Min(0)
  @Max(5_000_000)
  newInitialValue!: number;

  @MayBeNull()
  @IsIn(UNITS)
  newUnit?: (typeof UNITS)[number] | null;

  @MayBeNull()
  @IsString()
  @Length(1, 1000)
  note?: string | null;
}

export class OdometerReadingLine extends LineOfVehicle {
  @IsInstant()
  readAt!: string;

  @IsNumber()
  @Min(0)
  @Max(50_000_000)
  value!: number;

  @MayBeNull()
  @IsIn(UNITS)
  unit?: (typeof UNITS)[number] | null;

  @IsCode()
  source!: string;

  @MayBeNull()
  @IsIn(METERS)
  meter?: (typeof METERS)[number] | null;
}

export class ServiceHistoryLine extends LineOfVehicle {
  @IsCode()
  task!: string;

  @MayBeNull()
  @IsCode()
  position?: string | null;

  @IsCalendarDate()
  doneOn!: string;

  @MayBeNull()
  @IsIn(['done', 'failed'])
  outcome?: 'done' | 'failed' | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(5_000_000)
  odometer?: number | null;

  @MayBeNull()
  @IsIn(['km', 'mi'])
  odometerUnit?: 'km' | 'mi' | null;

  @MayBeNull()
  @IsNumber()
  @Min(0)
  @Max(500_000)
  engineHours?: number | null;

  @MayBeNull()
  @IsString()
  @Length(1, 200)
  doneBy?: string | null;

  @MayBeNull()
  @IsString()
  @Length(1, 2000)
  note?: string | null;
}
