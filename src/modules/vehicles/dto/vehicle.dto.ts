import { ApiProperty } from '@nestjs/swagger';
import { parseVehicleIdentificationNumber } from '../../../core/shared/vehicle-identification-number';
import type { Vehicle } from '../vehicle.entity';

export class VehicleDto {
  id!: string;
  fleetId!: string;
  depotId!: string;
  /** The operator's own key. */
  externalKey!: string | null;
  /** @example TVP 101 */
  registrationMark!: string;
  fleetNumber!: string | null;
  /** ISO 3779 vehicle identification number. */
  vin!: string | null;
  /** Duty class when it entered service; a later one is recorded as a duty change. */
  dutyClass!: string;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  inServiceOn!: string | null;
  /** Total distance when it entered service. */
  inServiceOdometerKm!: number | null;
  inServiceEngineHours!: number | null;
  /** Unit that its odometer counts in. */
  @ApiProperty({ enum: ['km', 'mi'] })
  odometerUnit!: 'km' | 'mi';
  /** Distance a year that the operator expects; used while there are few readings. */
  statedYearlyDistanceKm!: number | null;
  /** Programme of this vehicle alone; null follows the fleet. */
  serviceProgrammeId!: string | null;
  @ApiProperty({ format: 'date', nullable: true, type: String })
  retiredOn!: string | null;
  /** What deserves a second look, such as a VIN whose check digit does not match. */
  warnings!: string[];
  revision!: number;
  createdAt!: string;
  updatedAt!: string;
}

export class VehiclePageDto {
  items!: VehicleDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export function toVehicleDto(vehicle: Vehicle): VehicleDto {
  return {
    id: vehicle.id,
    fleetId: vehicle.fleetId,
    depotId: vehicle.depotId,
    externalKey: vehicle.externalKey,
    registrationMark: vehicle.registrationMark,
    fleetNumber: vehicle.fleetNumber,
    vin: vehicle.vin,
    dutyClass: vehicle.dutyClass,
    inServiceOn: vehicle.inServiceOn,
    inServiceOdometerKm: vehicle.inServiceOdometerKm,
    inServiceEngineHours: vehicle.inServiceEngineHours,
    odometerUnit: vehicle.odometerUnit,
    statedYearlyDistanceKm: vehicle.statedYearlyDistanceKm,
    serviceProgrammeId: vehicle.serviceProgrammeId,
    retiredOn: vehicle.retiredOn,
    warnings: vehicle.vin === null ? [] : vinWarnings(vehicle.vin),
    revision: vehicle.revision,
    createdAt: vehicle.createdAt.toISOString(),
    updatedAt: vehicle.updatedAt.toISOString(),
  };
}

function vinWarnings(vin: string): string[] {
  const { checkDigitWarning } = parseVehicleIdentificationNumber(vin);
  return checkDigitWarning === null ? [] : [`vin: ${checkDigitWarning}`];
}
