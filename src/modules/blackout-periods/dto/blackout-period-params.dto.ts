import { IsUUID } from 'class-validator';

export class BlackoutPeriodVehicleParamsDto {
  @IsUUID()
  vehicleId!: string;
}

export class BlackoutPeriodParamsDto {
  @IsUUID()
  vehicleId!: string;

  @IsUUID()
  blackoutPeriodId!: string;
}
