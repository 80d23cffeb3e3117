import { ApiProperty } from '@nestjs/swagger';
import { IsInt, Matches, Max, Min } from 'class-validator';
import type { Head } from '../audit-chain';

const HASH = /^[0-9a-f]{64}$/;

/** A place in the chain with the hash of everything up to it. */
export class HeadDto {
  /** 0 stands before the first entry, with a hash of zeros. */
  @IsInt()
  @Min(0)
  @Max(9_007_199_254_740_991)
  @ApiProperty({ type: 'integer', minimum: 0, maximum: 9_007_199_254_740_991 })
  position!: number;

  /** SHA-256, in hexadecimal. */
  @Matches(HASH, { message: '$property must be a hash of 64 hexadecimal digits in lower case' })
  @ApiProperty({ pattern: HASH.source, minLength: 64, maxLength: 64, example: 'f'.repeat(64) })
  hash!: string;
}

export function toHeadDto({ position, hash }: Head): HeadDto {
  return { position, hash: hash.toString('hex') };
}

export function fromHeadDto({ position, hash }: HeadDto): Head {
  return { position, hash: Buffer.from(hash, 'hex') };
}
