import { EpochDay, fromEpochDay } from '../../../core/shared/calendar-date';
import { vinCheckDigit } from '../../../core/shared/vehicle-identification-number';
import { CAST, isCast } from './cast';
import { TARN_VALLEY_FLEET } from './depots';
import { DemoVehicle, recentKmPerDay } from './fleet-vehicles';
import { NamedRandom } from './named-random';

export const VEHICLE_COLUMNS = [
  'externalKey',
  'fleetKey',
  'depotKey',
  'registrationMark',
  'fleetNumber',
  'vin',
  'dutyClass',
  'inServiceOn',
  'inServiceOdometerKm',
  'odometerUnit',
  'statedYearlyDistanceKm',
] as const;

/** The operator's vehicle list: one row per vehicle, with what the operator does not know left empty. */
export function vehicleList(vehicles: readonly DemoVehicle[], seed: number, today: EpochDay): string[][] {
  const random = new NamedRandom(`${seed} vehicle list`);
  return vehicles.map((vehicle) => {
    const { number } = vehicle;
    const stated = recentKmPerDay(vehicle, today) * 365 * Math.exp(random.deviate(0, 0.15));
    return [
      vehicle.externalKey,
      TARN_VALLEY_FLEET.externalKey,
      vehicle.depot.externalKey,
      isCast(CAST.carelessMark, number) ? `tvp${100 + number}` : `TVP ${100 + number}`,
      `${vehicle.depot.name.charAt(0)}${String(number).padStart(2, '0')}`,
      vehicleVin(number),
      vehicle.dutyClass,
      isCast(CAST.unknownInService, number) ? '' : fromEpochDay(vehicle.inServiceDay),
      isCast(CAST.unknownInServiceOdometer, number) ? '' : String(vehicle.inServiceOdometerKm),
      vehicle.odometerUnit,
      isCast(CAST.unstatedDistance, number) ? '' : String(Math.max(500, Math.round(stated / 500) * 500)),
    ];
  });
}

/**
 * A made-up VIN in the layout of ISO 3779; "ZZ9" belongs to no maker. The check digit follows 49 CFR 565.15,
 * but a few vehicles carry a digit there that does not agree, as vehicles of many countries do.
 */
function vehicleVin(number: number): string {
  const blank = `ZZ9TVPA10SA${String(100 + number).padStart(6, '0')}`;
  const right = vinCheckDigit(blank);
  const wrong = String((Number(right === 'X' ? 0 : right) + 4) % 10);
  return blank.slice(0, 8) + (isCast(CAST.wrongVinCheckDigit, number) ? wrong : right) + blank.slice(9);
}
