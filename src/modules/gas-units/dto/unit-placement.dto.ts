import { ApiProperty } from '@nestjs/swagger';
import { UNIT_PLACEMENT_STATES, type UnitPlacementState } from '../../../core/hydraulics/unit-positions';
import type { PlacementRow } from '../placement-row';

/** Where a unit was from a moment until a moment. */
export class UnitPlacementDto {
  id!: string;
  gasUnitId!: string;
  serialNumber!: string;
  unitTypeId!: string;
  unitTypeCode!: string;
  @ApiProperty({ enum: UNIT_PLACEMENT_STATES })
  state!: UnitPlacementState;
  /** Where it is fitted. */
  @ApiProperty({ format: 'uuid', nullable: true, type: String })
  vehicleId!: string | null;
  registrationMark!: string | null;
  /** @example suspension-front-left */
  position!: string | null;
  /** Whose shelf; null where nobody recorded it. */
  @ApiProperty({ format: 'uuid', nullable: true, type: String })
  depotId!: string | null;
  /** Who recharges it. */
  awayWith!: string | null;
  @ApiProperty({ format: 'date-time' })
  fromAt!: string;
  /** Null while it is there. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  untilAt!: string | null;
  /** Total distance of the vehicle at the fitting: what the mover gave, else what the readings say; null where unknown. */
  vehicleTotalKmFrom!: number | null;
  /** Total distance of the vehicle when the unit was taken out. */
  vehicleTotalKmUntil!: number | null;
  movedBy!: string;
  note!: string | null;
  /** The operator's own key. */
  externalKey!: string | null;
  @ApiProperty({ format: 'date-time' })
  recordedAt!: string;
  /** That of the unit: it counts its moves. */
  revision!: number;
}

export class UnitPlacementPageDto {
  items!: UnitPlacementDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toUnitPlacementDto(row: PlacementRow): UnitPlacementDto {
  return {
    id: row.id,
    gasUnitId: row.unitId,
    serialNumber: row.serialNumber,
    unitTypeId: row.unitTypeId,
    unitTypeCode: row.unitTypeCode,
    state: row.state,
    vehicleId: row.vehicleId,
    registrationMark: row.registrationMark,
    position: row.position,
    depotId: row.depotId,
    awayWith: row.awayWith,
    fromAt: row.fromAt.toISOString(),
    untilAt: row.untilAt?.toISOString() ?? null,
    vehicleTotalKmFrom: row.vehicleTotalKmFrom,
    vehicleTotalKmUntil: row.vehicleTotalKmUntil,
    movedBy: row.movedBy,
    note: row.note,
    externalKey: row.externalKey,
    recordedAt: row.recordedAt.toISOString(),
    revision: row.revision,
  };
}
