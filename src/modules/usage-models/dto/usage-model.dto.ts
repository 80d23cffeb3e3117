import { ApiProperty } from '@nestjs/swagger';
import type { CalibratedUsageModel } from '../../../core/usage/back-test';
import type { UsageModelRecord } from '../usage-model-record.entity';

/** How often the nominal 80 % interval held what came, at one look ahead. */
export class ModelCoverageDto {
  horizonDays!: number;
  /** Past forecasts that were checked; those of one vehicle overlap, so they tell less than their number. */
  trials!: number;
  /** Shares from 0 to 1; null without a trial. */
  held!: number | null;
  below!: number | null;
  above!: number | null;
}

export class ModelWideningDto {
  afterDays!: number;
  /** Factor on the standard deviation for a record of less than 300 days on the road. */
  shortRecord!: number;
  /** Factor for a longer record. */
  longRecord!: number;
}

/** Variances are relative to the square of a vehicle's own daily rate. */
export class UsageModelParametersDto {
  medianRatePerDay!: number;
  /** Standard deviation of the logarithm of the rate over the vehicles. */
  rateLogSd!: number;
  incrementVariance!: number;
  incrementFactor!: number;
  rateVariance!: number;
  seasonVariance!: number;
  /** Gained per day of looking ahead. */
  rateWander!: number;
  widening!: ModelWideningDto[];
}

/** What the vehicles of one duty class have in common in their use of one meter. */
export class UsageModelDto {
  fleetId!: string;
  @ApiProperty({ enum: ['odometer', 'engine-hours'] })
  meter!: 'odometer' | 'engine-hours';
  dutyClass!: string;
  /** Unit of the median rate, per day on the road. */
  @ApiProperty({ enum: ['km', 'h'] })
  unit!: 'km' | 'h';
  /** `default` where the class has too few vehicles with a record of their own. */
  @ApiProperty({ enum: ['fitted', 'default'] })
  origin!: 'fitted' | 'default';
  /** Vehicles that the model was fitted to. */
  vehicles!: number;
  parameters!: UsageModelParametersDto;
  /** `other-vehicles`: measured on vehicles that the fit had not seen. */
  @ApiProperty({ enum: ['other-vehicles', 'the-same-vehicles', 'nothing'] })
  measuredOn!: CalibratedUsageModel['measuredOn'];
  /** With the default model. */
  coverageBefore!: ModelCoverageDto[];
  /** With the fitted model before it was widened. */
  coverageFitted!: ModelCoverageDto[];
  /** With the model as it is used. */
  coverage!: ModelCoverageDto[];
  @ApiProperty({ format: 'date-time' })
  fittedAt!: string;
}

export class UsageModelPageDto {
  items!: UsageModelDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export class RefittedFleetDto {
  fleetId!: string;
  models!: UsageModelDto[];
}

export function toUsageModelDto(record: UsageModelRecord): UsageModelDto {
  const { unit, vehicles, ...parameters } = record.model;
  const { measuredOn, before, fitted, after } = record.backTest;
  return {
    fleetId: record.fleetId,
    meter: record.meter,
    dutyClass: record.dutyClass,
    unit,
    origin: vehicles > 0 ? 'fitted' : 'default',
    vehicles,
    parameters: { ...parameters, widening: [...parameters.widening] },
    measuredOn,
    coverageBefore: [...before],
    coverageFitted: [...fitted],
    coverage: [...after],
    fittedAt: record.fittedAt.toISOString(),
  };
}
