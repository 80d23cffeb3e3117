import { localDateAt, toEpochDay } from '../../core/shared/calendar-date';
import type { ReadingUnit } from '../../core/usage/meter-track';
import type { Meter, VehicleRecords } from './vehicle-records';

/** A reading that has just been accepted and is not among the loaded records yet. */
export interface AcceptedReading {
  vehicleId: string;
  meter: Meter;
  value: number;
  unit: ReadingUnit;
  /** milliseconds since 1970-01-01T00:00:00Z */
  at: number;
}

/** The records of a vehicle as they will be loaded once the readings are stored; their order does not matter. */
export function withReadings(records: VehicleRecords, accepted: readonly AcceptedReading[]): VehicleRecords {
  const own = accepted.filter(({ vehicleId }) => vehicleId === records.vehicleId);
  if (own.length === 0) return records;
  const readings: NonNullable<VehicleRecords['readings']> = own.map(({ at, value, unit, meter }) => [
    toEpochDay(localDateAt(at, records.zone)),
    value,
    unit,
    meter,
    at,
  ]);
  return { ...records, readings: [...(records.readings ?? []), ...readings] };
}
