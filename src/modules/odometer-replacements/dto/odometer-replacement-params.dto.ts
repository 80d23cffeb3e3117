import { IsUUID } from 'class-validator';

export class ReplacementVehicleParamsDto {
  @IsUUID()
  vehicleId!: string;
}

export class OdometerReplacementParamsDto {
  @IsUUID()
  replacementId!: string;
}
