import { ApiProperty } from '@nestjs/swagger';
import { IsIn, IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';

const STATES = ['accepted', 'quarantined', 'rejected'] as const;
const METERS = ['odometer', 'engine-hours'] as const;

export class ReadingVehicleParamsDto {
  @IsUUID()
  vehicleId!: string;
}

export class ReadingParamsDto {
  @IsUUID()
  readingId!: string;
}

export class ListVehicleReadingsQueryDto extends PageQueryDto {
  @IsOptional()
  @IsIn(STATES)
  @ApiProperty({ required: false, enum: STATES })
  state?: (typeof STATES)[number];

  @IsOptional()
  @IsIn(METERS)
  @ApiProperty({ required: false, enum: METERS })
  meter?: (typeof METERS)[number];
}

export class ListReadingsQueryDto extends ListVehicleReadingsQueryDto {
  @IsOptional()
  @IsUUID()
  fleetId?: string;

  @IsOptional()
  @IsUUID()
  depotId?: string;
}
