import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';

export class JobSheetParamsDto {
  @IsUUID()
  jobSheetId!: string;
}

export class JobSheetBookingParamsDto {
  @IsUUID()
  bookingId!: string;
}

export const JOB_SHEET_STATES = ['open', 'completed'] as const;

export class ListJobSheetsQueryDto extends PageQueryDto {
  @IsOptional()
  @IsUUID()
  workshopId?: string;

  @IsOptional()
  @IsUUID()
  vehicleId?: string;

  @IsOptional()
  @IsUUID()
  bookingId?: string;

  @IsOptional()
  @IsIn(JOB_SHEET_STATES)
  @ApiProperty({ enum: JOB_SHEET_STATES })
  state?: (typeof JOB_SHEET_STATES)[number];
}
