import { ApiProperty } from '@nestjs/swagger';
import { UNIT_ROLES, type UnitRole } from '../../../core/hydraulics/unit-positions';
import { UnitPlacementDto } from './unit-placement.dto';

export const EXPECTATIONS = ['expected', 'not-expected', 'unknown', 'own-position'] as const;
export type Expectation = (typeof EXPECTATIONS)[number];

/** A position of a vehicle with the unit that is there. */
export class VehicleUnitPositionDto {
  /** @example suspension-front-left */
  position!: string;
  @ApiProperty({ enum: UNIT_ROLES, nullable: true, type: String })
  role!: UnitRole | null;
  /** Whether the recorded layout has a unit there, as it is known today; `own-position` is one that you added. */
  @ApiProperty({ enum: EXPECTATIONS })
  expectation!: Expectation;
  /** Null where no unit is on record at that moment. */
  @ApiProperty({ type: UnitPlacementDto, nullable: true })
  unit!: UnitPlacementDto | null;
}

export class VehicleUnitPositionsDto {
  vehicleId!: string;
  /** The moment that it is about. */
  @ApiProperty({ format: 'date-time' })
  at!: string;
  @ApiProperty({ type: [VehicleUnitPositionDto] })
  items!: VehicleUnitPositionDto[];
}
