import { ApiProperty } from '@nestjs/swagger';
import { ArrayMaxSize, IsArray, IsBoolean, IsOptional, IsString, IsUUID, Length } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText, CommaSeparated } from '../../../platform/http/query-values';

export class VehicleParamsDto {
  @IsUUID()
  vehicleId!: string;
}

const MOST_VEHICLES = 100;

export class ListVehiclesQueryDto extends PageQueryDto {
  /** Only these vehicles, separated by commas. */
  @IsOptional()
  @CommaSeparated()
  @IsArray()
  @ArrayMaxSize(MOST_VEHICLES)
  @IsUUID(undefined, { each: true })
  @ApiProperty({ required: false, type: [String], format: 'uuid', maxItems: MOST_VEHICLES })
  vehicleIds?: string[];

  @IsOptional()
  @IsUUID()
  fleetId?: string;

  @IsOptional()
  @IsUUID()
  depotId?: string;

  /** The operator's own key. */
  @IsOptional()
  @IsString()
  @Length(1, 100)
  externalKey?: string;

  /** Part of the registration mark, the fleet number or the VIN; spaces and capitals do not matter. */
  @IsOptional()
  @IsString()
  @Length(1, 40)
  search?: string;

  /** Also vehicles that have left the fleet. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  includeRetired?: boolean;

  /** Only vehicles that are on hold today, or only the others. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  onHold?: boolean;

  /** Only vehicles with something overdue today, or only the others. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  overdue?: boolean;
}
