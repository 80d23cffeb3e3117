import { IsUUID } from 'class-validator';

export class FleetParamsDto {
  @IsUUID()
  fleetId!: string;
}
