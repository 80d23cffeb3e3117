import { ApiProperty } from '@nestjs/swagger';
import { UNIT_PLACEMENT_STATES, type UnitPlacementState } from '../../../core/hydraulics/unit-positions';
import type { GasUnitRow, StockRow } from '../gas-units.repository';
import type { PlacementRow } from '../placement-row';
import { UnitCautionDto } from './unit-due-item.dto';
import { toUnitPlacementDto, UnitPlacementDto } from './unit-placement.dto';

export const unitStates = [...UNIT_PLACEMENT_STATES, 'unknown'] as const;

/** A gas unit, and where it is. */
export class GasUnitDto {
  id!: string;
  /** That of the vehicle while it is fitted. */
  fleetId!: string;
  unitTypeId!: string;
  unitTypeCode!: string;
  /** The operator's own key. */
  externalKey!: string | null;
  /** @example N7-20417 */
  serialNumber!: string;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  madeOn!: string | null;
  note!: string | null;
  /** Where it is now; null where nobody recorded it. */
  @ApiProperty({ type: UnitPlacementDto, nullable: true })
  place!: UnitPlacementDto | null;
  /** Counts its moves as well. */
  revision!: number;
  createdAt!: string;
  updatedAt!: string;
}

export class GasUnitPageDto {
  items!: GasUnitDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export class GasUnitDetailsDto extends GasUnitDto {
  /** For whoever takes it out or charges it. */
  @ApiProperty({ type: [UnitCautionDto] })
  cautions!: UnitCautionDto[];
}

export class AddedGasUnitDto extends GasUnitDto {
  /** What deserves a second look, such as a position of which nobody knows whether the vehicle has it. */
  warnings!: string[];
}

/** How many units of a type are in a state at a depot. */
export class StockLineDto {
  /** Whose shelf, or where the vehicle belongs; null for units that are away or somewhere unknown. */
  @ApiProperty({ format: 'uuid', nullable: true, type: String })
  depotId!: string | null;
  depotName!: string | null;
  unitTypeId!: string;
  unitTypeCode!: string;
  /** `unknown`: nobody recorded where they are. */
  @ApiProperty({ enum: unitStates })
  state!: UnitPlacementState | 'unknown';
  @ApiProperty({ type: 'integer', minimum: 1 })
  count!: number;
}

export class GasUnitStockDto {
  @ApiProperty({ type: [StockLineDto] })
  items!: StockLineDto[];
}

export function toGasUnitDto(row: GasUnitRow, place: PlacementRow | undefined): GasUnitDto {
  return {
    id: row.id,
    fleetId: row.fleetId,
    unitTypeId: row.unitTypeId,
    unitTypeCode: row.unitTypeCode,
    externalKey: row.externalKey,
    serialNumber: row.serialNumber,
    madeOn: row.madeOn,
    note: row.note,
    place: place === undefined ? null : toUnitPlacementDto(place),
    revision: row.revision,
    createdAt: row.createdAt.toISOString(),
    updatedAt: row.updatedAt.toISOString(),
  };
}

export function toStockLineDto(row: StockRow): StockLineDto {
  return { ...row };
}
