import { ApiProperty } from '@nestjs/swagger';
import type { ListedEntry } from '../audit-entries.repository';

/** Where an entry stands in the chain of its organisation. */
export class AuditSealDto {
  @ApiProperty({ type: 'integer' })
  position!: number;
  /** SHA-256 of the hash before and of this entry, in hexadecimal. */
  hash!: string;
  @ApiProperty({ format: 'date-time' })
  sealedAt!: string;
}

/** Who did what to what, when, and what it was before and after. */
export class AuditEntryDto {
  organisationId!: string;
  id!: string;
  /** Number of the entry in the change log, with gaps. */
  sequence!: string;
  /** To the microsecond. */
  @ApiProperty({ format: 'date-time', example: '2026-11-25T09:30:00.123456Z' })
  recordedAt!: string;
  /** The key by name and id, or what the system was doing. */
  actor!: string;
  /** @example changed */
  action!: string;
  /** @example booking */
  subjectType!: string;
  @ApiProperty({ format: 'uuid' })
  subjectId!: string;
  /** The vehicle that it is about, if it is about one. */
  @ApiProperty({ format: 'uuid', nullable: true, type: String })
  vehicleId!: string | null;
  /** The record as it was; null where there was none. */
  @ApiProperty({ type: 'object', additionalProperties: true, nullable: true })
  before!: Record<string, unknown> | null;
  /** The record as it became; null where there is none any more. */
  @ApiProperty({ type: 'object', additionalProperties: true, nullable: true })
  after!: Record<string, unknown> | null;
  /** Null for the few seconds until the entry is sealed. */
  @ApiProperty({ nullable: true, type: AuditSealDto })
  seal!: AuditSealDto | null;
}

export class AuditEntryPageDto {
  items!: AuditEntryDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toAuditEntryDto({
  before,
  after,
  position,
  hash,
  sealedAt,
  ...entry
}: ListedEntry): AuditEntryDto {
  return {
    ...entry,
    before: before === null ? null : (JSON.parse(before) as Record<string, unknown>),
    after: after === null ? null : (JSON.parse(after) as Record<string, unknown>),
    seal:
      position === null || hash === null || sealedAt === null
        ? null
        : { position: Number(position), hash, sealedAt: sealedAt.toISOString() },
  };
}
