import { IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';

export class HeldVehicleParamsDto {
  @IsUUID()
  vehicleId!: string;
}

export class HoldParamsDto {
  @IsUUID()
  holdId!: string;
}

export class HoldOverrideParamsDto {
  @IsUUID()
  overrideId!: string;
}

export class ListHoldsQueryDto extends PageQueryDto {
  /** Only vehicles of this fleet. */
  @IsOptional()
  @IsUUID()
  fleetId?: string;

  /** Only vehicles of this depot. */
  @IsOptional()
  @IsUUID()
  depotId?: string;
}
