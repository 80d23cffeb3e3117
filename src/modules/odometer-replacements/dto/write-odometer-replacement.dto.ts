import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsNumber, IsString, Length, Max, Min } from 'class-validator';
import { IsInstant } from '../../../platform/http/is-instant';
import { MayBeAbsent, MayBeNull } from '../../../platform/http/optional-fields';

const HIGHEST_VALUE = 5_000_000;

export class CreateOdometerReplacementDto {
  @MayBeAbsent()
  @IsIn(['odometer', 'engine-hours'])
  @ApiProperty({ required: false, enum: ['odometer', 'engine-hours'], default: 'odometer' })
  meter?: 'odometer' | 'engine-hours' = 'odometer';

  /** When it was done, with the offset. */
  @IsInstant()
  @ApiProperty({ format: 'date-time' })
  replacedAt!: string;

  /** What the old instrument showed last. */
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_VALUE)
  oldFinalValue!: number;

  /** The unit that the vehicle's odometer counts in, or h, unless given. */
  @MayBeNull()
  @IsIn(['km', 'mi', 'h'])
  @ApiProperty({ required: false, enum: ['km', 'mi', 'h'], nullable: true })
  oldUnit?: 'km' | 'mi' | 'h' | null;

  /** What the new instrument showed first. */
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_VALUE)
  newInitialValue!: number;

  /** The unit of the old instrument unless given. */
  @MayBeNull()
  @IsIn(['km', 'mi', 'h'])
  @ApiProperty({ required: false, enum: ['km', 'mi', 'h'], nullable: true })
  newUnit?: 'km' | 'mi' | 'h' | null;

  @MayBeNull()
  @IsString()
  @Length(1, 1000)
  note?: string | null;

  /** The operator's own key, unique in the organisation. */
  @MayBeNull()
  @IsString()
  @Length(1, 100)
  externalKey?: string | null;
}

/** What may be put right afterwards; a wrong instant or meter is deleted and recorded again. */
export class UpdateOdometerReplacementDto {
  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_VALUE)
  oldFinalValue?: number;

  @MayBeAbsent()
  @IsNumber()
  @Min(0)
  @Max(HIGHEST_VALUE)
  newInitialValue?: number;

  @MayBeNull()
  @IsString()
  @Length(1, 1000)
  note?: string | null;
}
