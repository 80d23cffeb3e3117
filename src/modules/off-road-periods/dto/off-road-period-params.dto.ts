import { IsUUID } from 'class-validator';

export class OffRoadPeriodVehicleParamsDto {
  @IsUUID()
  vehicleId!: string;
}

export class OffRoadPeriodParamsDto {
  @IsUUID()
  offRoadPeriodId!: string;
}
