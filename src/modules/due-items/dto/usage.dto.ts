import { ApiProperty } from '@nestjs/swagger';
import type { CalibratedUsageModel, HorizonCoverage } from '../../../core/usage/back-test';
import type { LeftOutReason } from '../../../core/usage/usage-estimate';
import type { TotalOfDay, UsageOfVehicle } from '../usage-of-vehicle';
import type { Meter } from '../vehicle-records';

const LEFT_OUT_REASONS: readonly LeftOutReason[] = [
  'before-duty-change',
  'older-than-window',
  'thinned',
  'too-short-a-span',
];

export class TotalOnDayDto {
  @ApiProperty({ format: 'date' })
  on!: string;
  /** Over all instruments that the vehicle has had. */
  total!: number;
}

export class LeftOutReadingDto extends TotalOnDayDto {
  @ApiProperty({ enum: LEFT_OUT_REASONS })
  reason!: LeftOutReason;
}

export class ValueSpreadDto {
  /** Not exceeded with 10 % probability. */
  low!: number;
  median!: number;
  /** Not exceeded with 90 % probability. */
  high!: number;
}

export class ShownSpreadDto extends ValueSpreadDto {
  @ApiProperty({ enum: ['km', 'mi', 'h'] })
  unit!: 'km' | 'mi' | 'h';
}

export class TotalOfDayDto {
  @ApiProperty({ format: 'date' })
  on!: string;
  /** How it is known; `forecast` has an interval, what was read or interpolated has none. */
  @ApiProperty({ enum: ['read', 'interpolated', 'forecast-backwards', 'forecast', 'unknown'] })
  how!: TotalOfDay['how'];
  /** Over all instruments, in `unit`. */
  @ApiProperty({ type: ValueSpreadDto, nullable: true })
  total!: ValueSpreadDto | null;
  /** What the instrument fitted now shows at that total, in its own unit. */
  @ApiProperty({ type: ShownSpreadDto, nullable: true })
  shown!: ShownSpreadDto | null;
}

export class SpreadKnotDto {
  afterDays!: number;
  /** Relative variance of the distance of so many days, times the days. */
  varianceDays!: number;
}

export class UsageForecastDto {
  /** Where the forecast starts: the newest reading. */
  @ApiProperty({ format: 'date' })
  originOn!: string;
  originTotal!: number;
  ratePerDay!: number;
  spread!: SpreadKnotDto[];
  /** Days after the origin beyond which nothing is said. */
  horizonDays!: number;
}

export class HorizonCoverageDto {
  horizonDays!: number;
  /** Past forecasts that were checked against what came. */
  trials!: number;
  /** Share of them in which the 80 % interval held. */
  held!: number | null;
  below!: number | null;
  above!: number | null;
}

export class UsageModelUsedDto {
  dutyClass!: string;
  /** `default` until the fleet has a record of its own. */
  @ApiProperty({ enum: ['fitted', 'default'] })
  origin!: 'fitted' | 'default';
  /** Vehicles that the model was fitted to. */
  vehicles!: number;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  fittedAt!: string | null;
  /** On which vehicles the coverage was measured. */
  @ApiProperty({ enum: ['other-vehicles', 'the-same-vehicles', 'nothing'] })
  measuredOn!: CalibratedUsageModel['measuredOn'];
  /** How often the 80 % interval of this model held in the fleet's own past. */
  coverage!: HorizonCoverageDto[];
}

export class UsageWarningDto {
  /** @example stale-reading */
  code!: string;
  sentence!: string;
}

/** How a vehicle is used, with what it takes to work it out again by hand. */
export class UsageDto {
  vehicleId!: string;
  @ApiProperty({ enum: ['odometer', 'engine-hours'] })
  meter!: Meter;
  /** Unit of every total and rate here. */
  @ApiProperty({ enum: ['km', 'h'] })
  unit!: 'km' | 'h';
  zone!: string;
  /** Today at the vehicle's depot. */
  @ApiProperty({ format: 'date' })
  todayOn!: string;
  @ApiProperty({ enum: ['readings', 'readings-and-stated', 'stated', 'none'] })
  basis!: UsageOfVehicle['estimate']['basis'];
  /** Per day on the road. */
  ratePerDay!: number | null;
  /** Interval of the present rate; not a forecast of the rate to come. */
  rateLow!: number | null;
  rateHigh!: number | null;
  /** What the interval means. */
  intervalConvention!: string | null;
  /** Rate by the readings alone, and its weight against the stated yearly distance. */
  ownRatePerDay!: number | null;
  ownWeight!: number;
  /** Days on the road between the first and the last reading used. */
  elapsedDays!: number;
  @ApiProperty({ type: TotalOnDayDto, nullable: true })
  lastReading!: TotalOnDayDto | null;
  readingsUsed!: TotalOnDayDto[];
  readingsLeftOut!: LeftOutReadingDto[];
  onDay!: TotalOfDayDto;
  @ApiProperty({ type: UsageForecastDto, nullable: true })
  forecast!: UsageForecastDto | null;
  model!: UsageModelUsedDto;
  warnings!: UsageWarningDto[];
  /** What to record so that a forecast can be made. */
  missing!: string[];
}

/** A stored model as far as it is told to readers. */
export interface StoredModelFacts {
  fittedAt: string;
  backTest: { measuredOn: CalibratedUsageModel['measuredOn']; after: readonly HorizonCoverage[] };
}

export function toUsageDto(
  usage: UsageOfVehicle,
  about: { vehicleId: string; meter: Meter; zone: string; todayOn: string; stored: StoredModelFacts | null },
): UsageDto {
  const { estimate, forecast, model } = usage;
  const { stored } = about;
  return {
    vehicleId: about.vehicleId,
    meter: about.meter,
    unit: usage.unit,
    zone: about.zone,
    todayOn: about.todayOn,
    basis: estimate.basis,
    ratePerDay: estimate.ratePerDay,
    rateLow: estimate.rateLow,
    rateHigh: estimate.rateHigh,
    intervalConvention: estimate.intervalConvention,
    ownRatePerDay: estimate.ownRatePerDay,
    ownWeight: estimate.ownWeight,
    elapsedDays: estimate.elapsedDays,
    lastReading: usage.lastReading,
    readingsUsed: usage.used,
    readingsLeftOut: usage.leftOut,
    onDay: usage.onDay,
    forecast:
      forecast === null || usage.lastReading === null
        ? null
        : {
            originOn: usage.lastReading.on,
            originTotal: forecast.originTotal,
            ratePerDay: forecast.ratePerDay,
            spread: [...forecast.spread],
            horizonDays: forecast.horizonDays,
          },
    model: {
      dutyClass: usage.dutyClass,
      origin: model.vehicles > 0 ? 'fitted' : 'default',
      vehicles: model.vehicles,
      fittedAt: stored?.fittedAt ?? null,
      measuredOn: stored?.backTest.measuredOn ?? 'nothing',
      coverage: [...(stored?.backTest.after ?? [])],
    },
    warnings: usage.warnings,
    missing: [...estimate.missing],
  };
}
