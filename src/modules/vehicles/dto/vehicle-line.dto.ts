import { OmitType } from '@nestjs/swagger';
import { IsString, Length } from 'class-validator';
import { MayBeNull } from '../../../platform/http/optional-fields';
import { CreateVehicleDto } from './write-vehicle.dto';

/** A line of a list of vehicles. */
export class VehicleLine extends OmitType(CreateVehicleDto, [
  'depotId',
  'externalKey',
  'serviceProgrammeId',
]) {
  @IsString()
  @Length(1, 100)
  externalKey!: string;

  @IsString()
  @Length(1, 100)
  depotKey!: string;

  @MayBeNull()
  @IsString()
  @Length(1, 100)
  fleetKey?: string | null;
}
