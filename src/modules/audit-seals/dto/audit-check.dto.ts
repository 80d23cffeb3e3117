import { ApiProperty } from '@nestjs/swagger';
import { Type } from 'class-transformer';
import { ArrayMaxSize, IsArray, IsObject, ValidateNested } from 'class-validator';
import { MayBeAbsent } from '../../../platform/http/optional-fields';
import type { ChainCheck } from '../audit-checks.service';
import { FAULT_KINDS, type FaultKind } from '../check-chain';
import { UnsealedDto } from './audit-head.dto';
import { HeadDto, toHeadDto } from './head.dto';

export class CheckAuditTrailDto {
  /** Goes on from here: the `checkedUpTo` of the check before. From the first entry where it is left out. */
  @MayBeAbsent()
  @IsObject()
  @ValidateNested()
  @Type(() => HeadDto)
  after?: HeadDto;

  /** Heads that were noted earlier and that the chain has to lead to. */
  @MayBeAbsent()
  @IsArray()
  @ArrayMaxSize(100)
  @IsObject({ each: true })
  @ValidateNested({ each: true })
  @Type(() => HeadDto)
  heads?: HeadDto[];
}

/** The first place at which the chain is not what it was. */
export class ChainFaultDto {
  /**
   * `altered`, `removed`, `inserted`, `reordered`: what became of the entry. `seal-altered`, `seal-removed`: the same
   * of the chain itself. `rewritten`, `truncated`: the chain is in order by itself but does not lead to a noted head.
   */
  @ApiProperty({ enum: FAULT_KINDS })
  kind!: FaultKind;
  /** Null for an entry that has no place in the chain. */
  @ApiProperty({ type: 'integer', nullable: true })
  position!: number | null;
  /** Null where only a seal or a noted head tells. */
  @ApiProperty({ format: 'uuid', nullable: true, type: String })
  entryId!: string | null;
  detail!: string;
}

/** What the hashes say, computed anew from the entries. */
export class AuditCheckDto {
  @ApiProperty({ type: 'integer' })
  entriesChecked!: number;
  /** Up to here the chain is in order. */
  checkedUpTo!: HeadDto;
  /** Whether that is its end; otherwise ask again with `after`, unless there is a fault. */
  complete!: boolean;
  @ApiProperty({ nullable: true, type: ChainFaultDto })
  fault!: ChainFaultDto | null;
  unsealed!: UnsealedDto;
}

export function toAuditCheckDto({ checkedUpTo, ...check }: ChainCheck): AuditCheckDto {
  return { ...check, checkedUpTo: toHeadDto(checkedUpTo) };
}
