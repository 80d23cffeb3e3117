import { ApiProperty } from '@nestjs/swagger';
import type { Head } from '../audit-chain';
import type { Unsealed } from '../audit-seals.repository';
import { HeadDto, toHeadDto } from './head.dto';

/** Entries that are younger than the last seal: nothing vouches for them yet. */
export class UnsealedDto {
  @ApiProperty({ type: 'integer' })
  entries!: number;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  oldestRecordedAt!: string | null;
}

/**
 * Where the chain of the organisation ends. Whoever keeps it outside of the database can tell later whether anything
 * up to there was changed, even if every hash was computed anew.
 */
export class AuditHeadDto extends HeadDto {
  organisationId!: string;
  /** Null while there is nothing. */
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  sealedAt!: string | null;
  unsealed!: UnsealedDto;
}

export function toAuditHeadDto(
  organisationId: string,
  head: Head & { sealedAt: Date | null },
  unsealed: Unsealed,
): AuditHeadDto {
  return { organisationId, ...toHeadDto(head), sealedAt: head.sealedAt?.toISOString() ?? null, unsealed };
}
