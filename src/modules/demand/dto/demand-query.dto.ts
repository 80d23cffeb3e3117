import { ApiProperty } from '@nestjs/swagger';
import { IsInt, IsOptional, IsUUID, Max, Min } from 'class-validator';
import { MOST_MONTHS } from '../../../core/demand/month-buckets';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';
import { IntegerText } from '../../../platform/http/query-values';

export class DemandQueryDto {
  /** First day, in the first month; left out, today in UTC. */
  @IsOptional()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date' })
  from?: string;

  /** How many calendar months, the first one cut off at its first day. */
  @IsOptional()
  @IntegerText()
  @IsInt()
  @Min(1)
  @Max(MOST_MONTHS)
  @ApiProperty({ required: false, type: 'integer', minimum: 1, maximum: MOST_MONTHS, default: 12 })
  months?: number = 12;

  @IsOptional()
  @IsUUID()
  fleetId?: string;

  @IsOptional()
  @IsUUID()
  depotId?: string;
}
