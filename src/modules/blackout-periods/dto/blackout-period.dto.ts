import { ApiProperty } from '@nestjs/swagger';
import type { BlackoutPeriod } from '../blackout-period.entity';

/** Days on which a vehicle has to stay on the road, because its duty cannot be covered. */
export class BlackoutPeriodDto {
  id!: string;
  vehicleId!: string;
  /** First day of it, at the vehicle's depot. */
  @ApiProperty({ format: 'date' })
  fromOn!: string;
  /** First day on which the vehicle may be off the road again. */
  @ApiProperty({ format: 'date' })
  untilOn!: string;
  reason!: string;
  externalKey!: string | null;
  @ApiProperty({ format: 'date-time' })
  recordedAt!: string;
  revision!: number;
}

export class BlackoutPeriodPageDto {
  items!: BlackoutPeriodDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toBlackoutPeriodDto(period: BlackoutPeriod): BlackoutPeriodDto {
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
