import { EpochDay } from '../../../core/shared/calendar-date';
import { milesFromKm } from '../../../core/shared/units-of-measure';
import { DemoVehicle } from './fleet-vehicles';
import { instantWithinDay } from './local-clock';
import { isWorkingDay } from './weekday-of';
import { totalKmAt } from './true-distance-path';

/** A replaced instrument: values in the vehicle's own unit. */
export interface InstrumentChange {
  vehicle: DemoVehicle;
  day: EpochDay;
  replacedAt: number;
  oldFinalValue: number;
  newInitialValue: number;
}

/** The instrument change of a vehicle, on the first working day not before a day, late in the morning. */
export function instrumentChange(vehicle: DemoVehicle, notBefore: EpochDay): InstrumentChange {
  let day = notBefore;
  while (!isWorkingDay(day)) day += 1;
  const replacedAt = instantWithinDay(day, 0.47, vehicle.depot.zone);
  const oldFinalValue = roundDown(inVehicleUnit(vehicle, totalKmAt(vehicle.path, day, replacedAt)), 1);
  return { vehicle, day, replacedAt, oldFinalValue, newInitialValue: 7 };
}

/** What the vehicle's odometer really shows at an instant, in the vehicle's unit, not rounded. */
export function shownOdometer(
  vehicle: DemoVehicle,
  change: InstrumentChange,
  day: EpochDay,
  instant: number,
): number {
  const value = inVehicleUnit(vehicle, totalKmAt(vehicle.path, day, instant));
  if (change.vehicle.number !== vehicle.number || instant < change.replacedAt) return value;
  return value - change.oldFinalValue + change.newInitialValue;
}

/** Engine hours that the vehicle's meter really shows at an instant, not rounded. */
export function shownEngineHours(vehicle: DemoVehicle, day: EpochDay, instant: number): number {
  return totalKmAt(vehicle.path, day, instant) / vehicle.kmPerEngineHour;
}

/** An instrument shows the part already run through: rounding is always down. */
export function roundDown(value: number, decimals: 0 | 1): number {
  return decimals === 0 ? Math.floor(value) : Math.floor(value * 10) / 10;
}

function inVehicleUnit(vehicle: DemoVehicle, km: number): number {
  return vehicle.odometerUnit === 'mi' ? milesFromKm(km) : km;
}
