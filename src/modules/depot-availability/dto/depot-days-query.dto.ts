import { ApiProperty } from '@nestjs/swagger';
import { IsInt, IsOptional, IsUUID, Max, Min } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { IntegerText } from '../../../platform/http/query-values';

export const MOST_DAYS = 366;

export class DepotDaysQueryDto {
  @IsOptional()
  @IsUUID()
  fleetId?: string;

  @IsOptional()
  @IsUUID()
  depotId?: string;

  /** First day; left out, today in UTC. */
  @IsOptional()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date' })
  from?: string;

  /** How many days. */
  @IsOptional()
  @IntegerText()
  @IsInt()
  @Min(1)
  @Max(MOST_DAYS)
  @ApiProperty({ required: false, type: 'integer', minimum: 1, maximum: MOST_DAYS, default: 28 })
  days?: number = 28;
}
