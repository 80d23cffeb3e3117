import { ApiProperty } from '@nestjs/swagger';
import type { Organisation } from '../organisation.entity';

/** The operator that a key belongs to. */
export class OrganisationDto {
  id!: string;
  /** @example Tarn Valley Patient Transport */
  name!: string;
  /** Programme of fleets and vehicles that have none of their own. */
  defaultServiceProgrammeId!: string | null;
  revision!: number;
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
}

export function toOrganisationDto(organisation: Organisation): OrganisationDto {
  return {
    id: organisation.organisationId,
    name: organisation.name,
    defaultServiceProgrammeId: organisation.defaultServiceProgrammeId,
    revision: organisation.revision,
    createdAt: organisation.createdAt.toISOString(),
  };
}
