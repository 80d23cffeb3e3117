import { ApiProperty } from '@nestjs/swagger';
import type { OffRoadPeriod } from '../off-road-period.entity';

/** Days on which a vehicle stood; they do not count when its rate of use is worked out. */
export class OffRoadPeriodDto {
  id!: string;
  vehicleId!: string;
  /** First day off the road, at the vehicle's depot. */
  @ApiProperty({ format: 'date' })
  fromOn!: string;
  /** First day back. */
  @ApiProperty({ format: 'date' })
  untilOn!: string;
  reason!: string;
  /** The operator's own key. */
  externalKey!: string | null;
  @ApiProperty({ format: 'date-time' })
  recordedAt!: string;
  revision!: number;
}

export class OffRoadPeriodPageDto {
  items!: OffRoadPeriodDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toOffRoadPeriodDto(period: OffRoadPeriod): OffRoadPeriodDto {
  return {
    id: period.id,
    vehicleId: period.vehicleId,
    fromOn: period.fromOn,
    untilOn: period.untilOn,
    reason: period.reason,
    externalKey: period.externalKey,
    recordedAt: period.recordedAt.toISOString(),
    revision: period.revision,
  };
}
