import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import {
  ArrayMaxSize,
  ArrayMinSize,
  IsArray,
  IsIn,
  IsNumber,
  IsObject,
  Max,
  Min,
  ValidateNested,
} from 'class-validator';
import { MayBeAbsent } from '../../../platform/http/optional-fields';

// Only slips of the key are stopped here: the core says what a calculation takes, and what a value out of range is
// likely to be.
const FAR_BELOW_BAR = -1_000;
const FAR_ABOVE_BAR = 10_000;
const FAR_BELOW_C = -300;
const FAR_ABOVE_C = 1_000;

/** Where a gauge was read; at most one of the two. */
export class AmbientDto {
  /** Ambient pressure, not reduced to sea level; left out, 1.01325. */
  @MayBeAbsent()
  @IsNumber()
  @Min(-10)
  @Max(1_100)
  ambientBar?: number;

  /** Height above sea level instead, from which the standard atmosphere gives the ambient pressure. */
  @MayBeAbsent()
  @IsNumber()
  @Min(-100000)
  @Max(100_000)
  altitudeM?: number;
}

export class GasUnitInputDto {
  /** With no fluid in the unit. */
  @IsNumber()
  @Min(0)
  @Max(1_000)
  gasVolumeL!: number;

  @IsNumber()
  @Min(FAR_BELOW_BAR)
  @Max(FAR_ABOVE_BAR)
  precharge20BarGauge!: number;
}

/** What a test rig and a thermometer showed, with no fluid pressure on the other side of the diaphragm. */
export class NormalisedPrechargeInputDto extends AmbientDto {
  @IsNumber()
  @Min(FAR_BELOW_BAR)
  @Max(FAR_ABOVE_BAR)
  pressureBarGauge!: number;

  @IsNumber()
  @Min(FAR_BELOW_C)
  @Max(FAR_ABOVE_C)
  gasTemperatureC!: number;
}

/** A gas unit that gives fluid between two pressures. */
export class DeliveredVolumeInputDto extends AmbientDto {
  /** With no fluid in the unit. */
  @IsNumber()
  @Min(0)
  @Max(1_000)
  gasVolumeL!: number;

  @IsNumber()
  @Min(FAR_BELOW_BAR)
  @Max(FAR_ABOVE_BAR)
  precharge20BarGauge!: number;

  @IsNumber()
  @Min(FAR_BELOW_BAR)
  @Max(FAR_ABOVE_BAR)
  lowBarGauge!: number;

  @IsNumber()
  @Min(FAR_BELOW_BAR)
  @Max(FAR_ABOVE_BAR)
  highBarGauge!: number;

  /** Of the gas at the high pressure; left out, 20. */
  @MayBeAbsent()
  @IsNumber()
  @Min(FAR_BELOW_C)
  @Max(FAR_ABOVE_C)
  gasTemperatureC?: number;
}

export class StopwatchLimitsInputDto {
  @IsNumber()
  @Min(0)
  @Max(FAR_ABOVE_BAR)
  nominalPrecharge20BarGauge!: number;

  /** Below this share of the nominal precharge a unit has lost gas; left out, 0.8. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(100)
  lowestPrechargeShare?: number;

  /** A pump that cuts in more often than this needs a look; left out, 10. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(86_400)
  shortestIntervalSeconds?: number;

  /** Above this the system leaks too much; left out, the leak is told and not judged. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(100_000)
  highestLeakMlPerMin?: number;
}

/** Times of the pressure regulator: engine idling, nothing in use. */
export class StopwatchTestInputDto extends AmbientDto {
  /** From cut-in to cut-out: the pump charges. */
  @IsNumber()
  @Min(0)
  @Max(86_400)
  chargeSeconds!: number;

  /** From cut-out to cut-in: the pump idles. */
  @IsNumber()
  @Min(0)
  @Max(86_400)
  idleSeconds!: number;

  /** At idling speed; without it a loss of gas and a leak cannot be told apart. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(1_000)
  pumpDeliveryLPerMin?: number;

  /** Of the main accumulator, with no fluid in it. */
  @IsNumber()
  @Min(0)
  @Max(1_000)
  gasVolumeL!: number;

  @IsNumber()
  @Min(FAR_BELOW_BAR)
  @Max(FAR_ABOVE_BAR)
  cutInBarGauge!: number;

  @IsNumber()
  @Min(FAR_BELOW_BAR)
  @Max(FAR_ABOVE_BAR)
  cutOutBarGauge!: number;

  /** Left out, 20. */
  @MayBeAbsent()
  @IsNumber()
  @Min(FAR_BELOW_C)
  @Max(FAR_ABOVE_C)
  gasTemperatureC?: number;

  @IsObject()
  @ValidateNested()
  @Type(() => StopwatchLimitsInputDto)
  limits!: StopwatchLimitsInputDto;
}

/** The gas units that feed a brake circuit, and what one full application takes from them. */
export class BrakeCircuitInputDto {
  @IsArray()
  @ArrayMinSize(1)
  @ArrayMaxSize(10)
  @ValidateNested({ each: true })
  @Type(() => GasUnitInputDto)
  units!: GasUnitInputDto[];

  @IsNumber()
  @Min(0)
  @Max(10_000)
  fullApplicationMl!: number;
}

export const REAR_BRAKE_STORES = ['rear-brake-accumulator', 'rear-suspension'] as const;

export class RearBrakeCircuitInputDto extends BrakeCircuitInputDto {
  /** The rear brake accumulator where one is fitted, else the rear suspension units. */
  @IsIn(REAR_BRAKE_STORES)
  @ApiProperty({ enum: REAR_BRAKE_STORES })
  fedBy!: (typeof REAR_BRAKE_STORES)[number];
}

/** The brake reserve with the pump stopped. */
export class StoredApplicationsInputDto extends AmbientDto {
  @IsNumber()
  @Min(FAR_BELOW_BAR)
  @Max(FAR_ABOVE_BAR)
  cutInBarGauge!: number;

  /** Where the low-pressure warning comes on. */
  @IsNumber()
  @Min(FAR_BELOW_BAR)
  @Max(FAR_ABOVE_BAR)
  warningBarGauge!: number;

  /** Left out, 20. */
  @MayBeAbsent()
  @IsNumber()
  @Min(FAR_BELOW_C)
  @Max(FAR_ABOVE_C)
  gasTemperatureC?: number;

  /** Fed by the main accumulator. */
  @IsObject()
  @ValidateNested()
  @Type(() => BrakeCircuitInputDto)
  front!: BrakeCircuitInputDto;

  @IsObject()
  @ValidateNested()
  @Type(() => RearBrakeCircuitInputDto)
  rear!: RearBrakeCircuitInputDto;
}

/** A suspension unit under a static load. */
export class RideEffectInputDto extends AmbientDto {
  /** With no fluid in the unit. */
  @IsNumber()
  @Min(0)
  @Max(1_000)
  gasVolumeL!: number;

  @IsNumber()
  @Min(FAR_BELOW_BAR)
  @Max(FAR_ABOVE_BAR)
  precharge20BarGauge!: number;

  /** What the unit should have. */
  @IsNumber()
  @Min(FAR_BELOW_BAR)
  @Max(FAR_ABOVE_BAR)
  nominalPrecharge20BarGauge!: number;

  /** Mass that rests on the unit. */
  @IsNumber()
  @Min(0)
  @Max(100_000)
  carriedMassKg!: number;

  /** Of the cylinder that the load acts on. */
  @IsNumber()
  @Min(0)
  @Max(1_000)
  boreMm!: number;

  /** Left out, 20. */
  @MayBeAbsent()
  @IsNumber()
  @Min(FAR_BELOW_C)
  @Max(FAR_ABOVE_C)
  gasTemperatureC?: number;
}
