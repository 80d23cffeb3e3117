import { ApiProperty } from '@nestjs/swagger';
import type { ServiceProgrammeVersion } from '../service-programme-version.entity';
import { RuleDto, rulesSchema, severitySchema } from './rule.dto';

/** A version without its rules. */
export class ProgrammeVersionHeadDto {
  id!: string;
  programmeId!: string;
  @ApiProperty({ type: 'integer' })
  versionNumber!: number;
  /** A draft may be changed; a published version never is. */
  @ApiProperty({ enum: ['draft', 'published'] })
  state!: 'draft' | 'published';
  /** From this day on; null for a draft. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  effectiveOn!: string | null;
  changeNote!: string;
  @ApiProperty({ type: 'integer' })
  ruleCount!: number;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  publishedAt!: string | null;
  publishedBy!: string | null;
  revision!: number;
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
  @ApiProperty({ format: 'date-time' })
  updatedAt!: string;
}

export class ProgrammeVersionPageDto {
  items!: ProgrammeVersionHeadDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export class ProgrammeVersionDto extends ProgrammeVersionHeadDto {
  /** As they were written. */
  @ApiProperty(rulesSchema)
  rules!: RuleDto[];
  /** Multipliers of the intervals by duty class. */
  @ApiProperty(severitySchema)
  severityByDutyClass!: Record<string, number>;
}

export const ACTIVATIONS = ['in-force', 'being-computed', 'waiting'] as const;
export type Activation = (typeof ACTIVATIONS)[number];

export class PublishedVersionDto extends ProgrammeVersionDto {
  /**
   * `in-force`: the due items of all vehicles that follow the programme have moved. `being-computed`: they are
   * many, and follow shortly. `waiting`: they move when the effective day begins.
   */
  @ApiProperty({ enum: ACTIVATIONS })
  activation!: Activation;
}

export function toProgrammeVersionHeadDto(version: ServiceProgrammeVersion): ProgrammeVersionHeadDto {
  return {
    id: version.id,
    programmeId: version.programmeId,
    versionNumber: version.versionNumber,
    state: version.state,
    effectiveOn: version.effectiveOn,
    changeNote: version.changeNote,
    ruleCount: version.rules.length,
    publishedAt: version.publishedAt?.toISOString() ?? null,
    publishedBy: version.publishedBy,
    revision: version.revision,
    createdAt: version.createdAt.toISOString(),
    updatedAt: version.updatedAt.toISOString(),
  };
}

export function toProgrammeVersionDto(version: ServiceProgrammeVersion): ProgrammeVersionDto {
  const { rules, severityByDutyClass } = version;
  return { ...toProgrammeVersionHeadDto(version), rules, severityByDutyClass };
}
