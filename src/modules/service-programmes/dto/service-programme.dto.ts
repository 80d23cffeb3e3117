import { ApiProperty } from '@nestjs/swagger';
import type { ServiceProgramme } from '../service-programme.entity';
import type { VersionHead } from '../version-head';

export class VersionHeadDto {
  id!: string;
  @ApiProperty({ type: 'integer' })
  versionNumber!: number;
  @ApiProperty({ enum: ['draft', 'published'] })
  state!: 'draft' | 'published';
  /** From this day on; null for a draft. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  effectiveOn!: string | null;
}

/** Rules that vehicles follow. Its versions hold the rules; one of them is in force. */
export class ServiceProgrammeDto {
  id!: string;
  /** @example Minibuses, urban */
  name!: string;
  /** Whether it began with the starter rules. */
  @ApiProperty({ enum: ['starter', 'own'] })
  origin!: 'starter' | 'own';
  /** Where the figures come from. */
  originNote!: string;
  /** The version that due items are computed from; null until one has come into force. */
  @ApiProperty({ type: VersionHeadDto, nullable: true })
  currentVersion!: VersionHeadDto | null;
  /** The version with the highest number; null when the only draft was deleted. */
  @ApiProperty({ type: VersionHeadDto, nullable: true })
  latestVersion!: VersionHeadDto | null;
  revision!: number;
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
  @ApiProperty({ format: 'date-time' })
  updatedAt!: string;
}

export class ServiceProgrammePageDto {
  items!: ServiceProgrammeDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

/** The programme of vehicles that have none of their own and whose fleet has none. */
export class DefaultServiceProgrammeDto {
  serviceProgrammeId!: string | null;
  /** Of the organisation's settings. */
  revision!: number;
}

export function toServiceProgrammeDto(
  programme: ServiceProgramme,
  heads: { current: VersionHead | null; latest: VersionHead | null },
): ServiceProgrammeDto {
  return {
    id: programme.id,
    name: programme.name,
    origin: programme.origin,
    originNote: programme.originNote,
    currentVersion: heads.current && toVersionHeadDto(heads.current),
    latestVersion: heads.latest && toVersionHeadDto(heads.latest),
    revision: programme.revision,
    createdAt: programme.createdAt.toISOString(),
    updatedAt: programme.updatedAt.toISOString(),
  };
}

function toVersionHeadDto({ id, versionNumber, state, effectiveOn }: VersionHead): VersionHeadDto {
  return { id, versionNumber, state, effectiveOn };
}
