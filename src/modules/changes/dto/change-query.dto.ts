import { ApiProperty } from '@nestjs/swagger';
import {
  ArrayMaxSize,
  IsArray,
  IsIn,
  IsInt,
  IsOptional,
  IsString,
  Max,
  MaxLength,
  Min,
} from 'class-validator';
import { EVENT_TYPES } from '../../../platform/audit/recorded-changes';
import { CommaSeparated, IntegerText } from '../../../platform/http/query-values';

/** The longest that a request may wait for changes. */
export const LONGEST_WAIT_SECONDS = 30;

export class ReadChangesQueryDto {
  /**
   * The `next` of the answer before; `now` for what is recorded from now on. Without it the feed starts with the oldest
   * change that is kept.
   */
  @IsOptional()
  @IsString()
  @MaxLength(1000)
  after?: string;

  /** How many changes to return at most. */
  @IsOptional()
  @IntegerText()
  @IsInt()
  @Min(1)
  @Max(500)
  @ApiProperty({ required: false, type: 'integer', minimum: 1, maximum: 500, default: 100 })
  limit?: number = 100;

  /** Only changes of these types, separated by commas. May be another list with every request. */
  @IsOptional()
  @CommaSeparated()
  @IsArray()
  @ArrayMaxSize(EVENT_TYPES.length)
  @IsIn(EVENT_TYPES, { each: true })
  @ApiProperty({ required: false, enum: EVENT_TYPES, isArray: true, maxItems: EVENT_TYPES.length })
  types?: string[];

  /** Where there are no changes yet: how many seconds to wait for some before an empty answer. */
  @IsOptional()
  @IntegerText()
  @IsInt()
  @Min(0)
  @Max(LONGEST_WAIT_SECONDS)
  @ApiProperty({
    required: false,
    type: 'integer',
    minimum: 0,
    maximum: LONGEST_WAIT_SECONDS,
    default: 0,
  })
  wait?: number = 0;
}
