import { ApiProperty } from '@nestjs/swagger';
import { UNIT_ROLES, type UnitRole } from '../../../core/hydraulics/unit-positions';
import type { GasUnitType } from '../gas-unit-type.entity';

/** A type of gas unit, with the figures of its maker. */
export class GasUnitTypeDto {
  id!: string;
  /** The operator's own key. */
  externalKey!: string | null;
  /** Rules of a programme name the type by it. @example front-55 */
  code!: string;
  name!: string;
  /** What a unit of this type may be fitted as. */
  @ApiProperty({ enum: UNIT_ROLES, isArray: true })
  roles!: UnitRole[];
  /** Nominal precharge at 20 °C, bar above the atmosphere. */
  nominalPrecharge20BarGauge!: number;
  /** Volume of the gas side without fluid in the unit. */
  gasVolumeCm3!: number;
  /** Lowest pressure of the fluid in use. */
  workingPressureLowBarGauge!: number | null;
  /** Highest pressure of the fluid in use. */
  workingPressureHighBarGauge!: number | null;
  /** The damper is part of the unit and goes with it. */
  damperIntegral!: boolean;
  note!: string | null;
  revision!: number;
  createdAt!: string;
  updatedAt!: string;
}

export class GasUnitTypePageDto {
  items!: GasUnitTypeDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toGasUnitTypeDto(type: GasUnitType): GasUnitTypeDto {
  return {
    id: type.id,
    externalKey: type.externalKey,
    code: type.code,
    name: type.name,
    roles: type.roles,
    nominalPrecharge20BarGauge: type.nominalPrecharge20BarGauge,
    gasVolumeCm3: type.gasVolumeCm3,
    workingPressureLowBarGauge: type.workingPressureLowBarGauge,
    workingPressureHighBarGauge: type.workingPressureHighBarGauge,
    damperIntegral: type.damperIntegral,
    note: type.note,
    revision: type.revision,
    createdAt: type.createdAt.toISOString(),
    updatedAt: type.updatedAt.toISOString(),
  };
}
