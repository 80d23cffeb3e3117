import { IsUUID } from 'class-validator';

export class DutyChangeVehicleParamsDto {
  @IsUUID()
  vehicleId!: string;
}

export class DutyChangeParamsDto {
  @IsUUID()
  dutyChangeId!: string;
}
