import { ApiProperty } from '@nestjs/swagger';
import type { Hold } from '../hold.entity';

/** A hold that a person placed. */
export class ManualHoldDto {
  id!: string;
  vehicleId!: string;
  reason!: string;
  placedBy!: string;
  @ApiProperty({ format: 'date-time' })
  placedAt!: string;
  liftedBy!: string | null;
  /** Null while it stands. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  liftedAt!: string | null;
  liftReason!: string | null;
  revision!: number;
}

export function toManualHoldDto(hold: Hold): ManualHoldDto {
  return {
    id: hold.id,
    vehicleId: hold.vehicleId,
    reason: hold.reason,
    placedBy: hold.placedBy,
    placedAt: hold.placedAt.toISOString(),
    liftedBy: hold.liftedBy,
    liftedAt: hold.liftedAt?.toISOString() ?? null,
    liftReason: hold.liftReason,
    revision: hold.revision,
  };
}
