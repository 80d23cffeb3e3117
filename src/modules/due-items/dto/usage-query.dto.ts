import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsOptional, IsUUID } from 'class-validator';
import { IsCalendarDate } from '../../../platform/http/is-calendar-date';

export class UsageParamsDto {
  @IsUUID()
  vehicleId!: string;
}

export class UsageQueryDto {
  /** The day whose total is asked for; today at the depot unless given. */
  @IsOptional()
  @IsCalendarDate()
  @ApiProperty({ required: false, format: 'date' })
  on?: string;

  @IsOptional()
  @IsIn(['odometer', 'engine-hours'])
  @ApiProperty({ required: false, enum: ['odometer', 'engine-hours'], default: 'odometer' })
  meter?: 'odometer' | 'engine-hours' = 'odometer';
}
