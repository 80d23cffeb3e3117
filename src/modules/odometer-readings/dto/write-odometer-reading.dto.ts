import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsNumber, IsString, Length, Max, Min } from 'class-validator';
import { IsCode } from '../../../platform/http/is-code';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';

// far beyond any instrument, so that a slip of the key is quarantined with an explanation, not refused
const HIGHEST_VALUE = 50_000_000;

export class CreateOdometerReadingDto {
  /** As the instrument shows it. */
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_VALUE)
  value!: number;

  /** The unit that the vehicle's odometer counts in, or h, unless given. */
  @MayBeNull()
  @IsIn(['km', 'mi', 'h'])
  @ApiProperty({ required: false, enum: ['km', 'mi', 'h'], nullable: true })
  unit?: 'km' | 'mi' | 'h' | null;

  @MayBeAbsent()
  @IsIn(['odometer', 'engine-hours'])
  @ApiProperty({ required: false, enum: ['odometer', 'engine-hours'], default: 'odometer' })
  meter?: 'odometer' | 'engine-hours' = 'odometer';

  /** When it was read, with the offset. @example 2026-03-29T09:30:00+01:00 */
  @IsInstant()
  @ApiProperty({ format: 'date-time' })
  readAt!: string;

  /** Where it comes from. @example driver-sheet */
  @IsCode()
  source!: string;

  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;
}

export const DECISIONS = ['accept', 'accept-corrected', 'reject'] as const;

export class DecideReadingDto {
  @IsIn(DECISIONS)
  @ApiProperty({ enum: DECISIONS })
  decision!: (typeof DECISIONS)[number];

  /** The right value, in the unit of the reading; with `accept-corrected` only. */
  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_VALUE)
  value?: number;

  /** Why; it stays on file. */
  @IsString()
  @Length(1, 1000)
  note!: string;
}
