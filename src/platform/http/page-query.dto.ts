import { ApiProperty } from '@nestjs/swagger';
import { IsInt, IsOptional, IsString, Max, MaxLength, Min } from 'class-validator';
import { IntegerText } from './query-values';

export class PageQueryDto {
  /** How many records to return at most. */
  @IsOptional()
  @IntegerText()
  @IsInt()
  @Min(1)
  @Max(500)
  @ApiProperty({ required: false, type: 'integer', minimum: 1, maximum: 500, default: 50 })
  limit?: number = 50;

  /** The `next` of the page before. */
  @IsOptional()
  @IsString()
  @MaxLength(1000)
  cursor?: string;
}
