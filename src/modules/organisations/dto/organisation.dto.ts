import { ApiProperty } from '@nestjs/swagger';
import {
  distanceUnits,
  pressureUnits,
  type DistanceUnit,
  type PressureUnit,
} from '../../../platform/units/shown-units';
import type { Organisation } from '../organisation.entity';

/** The operator that a key belongs to. */
export class OrganisationDto {
  id!: string;
  /** @example Tarn Valley Patient Transport */
  name!: string;
  /** Programme of fleets and vehicles that have none of their own. */
  defaultServiceProgrammeId!: string | null;
  /** In what pages show distances to people who prefer nothing else. */
  @ApiProperty({ enum: distanceUnits })
  distanceUnit!: DistanceUnit;
  /** In what pages show pressures to people who prefer nothing else. */
  @ApiProperty({ enum: pressureUnits })
  pressureUnit!: PressureUnit;
  revision!: number;
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
}

export function toOrganisationDto(organisation: Organisation): OrganisationDto {
  return {
    id: organisation.organisationId,
    name: organisation.name,
    defaultServiceProgrammeId: organisation.defaultServiceProgrammeId,
    distanceUnit: organisation.distanceUnit,
    pressureUnit: organisation.pressureUnit,
    revision: organisation.revision,
    createdAt: organisation.createdAt.toISOString(),
  };
}
