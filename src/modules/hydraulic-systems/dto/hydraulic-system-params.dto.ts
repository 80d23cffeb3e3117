import { IsOptional, IsUUID } from 'class-validator';
import { ApiProperty } from '@nestjs/swagger';
import { IsInstant } from '../../../platform/http/is-instant';
import { PageQueryDto } from '../../../platform/http/page-query.dto';

export class HydraulicSystemParamsDto {
  @IsUUID()
  vehicleId!: string;
}

export class LayoutHistoryQueryDto extends PageQueryDto {
  /** Only the version that was valid at this moment; none before the first record. */
  @IsOptional()
  @IsInstant()
  @ApiProperty({ required: false, format: 'date-time' })
  at?: string;
}

export class ToInspectQueryDto extends PageQueryDto {
  /** Only vehicles of this fleet. */
  @IsOptional()
  @IsUUID()
  fleetId?: string;

  /** Only vehicles of this depot. */
  @IsOptional()
  @IsUUID()
  depotId?: string;
}
