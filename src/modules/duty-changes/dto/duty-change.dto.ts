import { ApiProperty } from '@nestjs/swagger';
import type { DutyChange } from '../duty-change.entity';

/** From this day on the vehicle did other work: older readings no longer tell how it is used. */
export class DutyChangeDto {
  id!: string;
  vehicleId!: string;
  /** First day of the new duty, at the vehicle's depot. */
  @ApiProperty({ format: 'date' })
  fromOn!: string;
  /** @example urban-stop-start */
  dutyClass!: string;
  note!: string | null;
  /** The operator's own key. */
  externalKey!: string | null;
  @ApiProperty({ format: 'date-time' })
  recordedAt!: string;
  revision!: number;
}

export class DutyChangePageDto {
  items!: DutyChangeDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toDutyChangeDto(change: DutyChange): DutyChangeDto {
  return {
    id: change.id,
    vehicleId: change.vehicleId,
    fromOn: change.fromOn,
    dutyClass: change.dutyClass,
    note: change.note,
    externalKey: change.externalKey,
    recordedAt: change.recordedAt.toISOString(),
    revision: change.revision,
  };
}
