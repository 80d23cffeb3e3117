import { ApiProperty } from '@nestjs/swagger';
import {
  roleOfPosition,
  UNIT_POSITIONS,
  UNIT_ROLES,
  type UnitRole,
} from '../../../core/hydraulics/unit-positions';
import type { OwnUnitPosition } from '../unit-position.entity';

/** A place for a gas unit on a vehicle. */
export class UnitPositionDto {
  /** Null for a standard position. */
  @ApiProperty({ format: 'uuid', nullable: true, type: String })
  id!: string | null;
  /** @example suspension-front-left */
  code!: string;
  name!: string;
  /** What a unit does there; a type of unit is made for some roles. */
  @ApiProperty({ enum: UNIT_ROLES })
  role!: UnitRole;
  /** The same for every organisation, and not to be changed. */
  standard!: boolean;
  revision!: number;
}

export class UnitPositionPageDto {
  items!: UnitPositionDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export const STANDARD_POSITIONS: readonly UnitPositionDto[] = UNIT_POSITIONS.map((code) => ({
  id: null,
  code,
  name: nameOf(code),
  role: roleOfPosition(code) ?? 'other',
  standard: true,
  revision: 0,
}));

// "suspension-front-left" is called "suspension, front left"
function nameOf(code: string): string {
  return code.replace('suspension-', 'suspension, ').replaceAll('-', ' ');
}

export function toUnitPositionDto({ id, code, name, role, revision }: OwnUnitPosition): UnitPositionDto {
  return { id, code, name, role, standard: false, revision };
}
