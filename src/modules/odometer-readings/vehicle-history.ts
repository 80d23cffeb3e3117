import type { EpochDay } from '../../core/shared/calendar-date';
import type { ReadingUnit } from '../../core/usage/meter-track';
import type { UsageModel } from '../../core/usage/usage-model';
import type { StoredUsageModel, VehicleRecords } from '../due-items/vehicle-records';

export type Meter = 'odometer' | 'engine-hours';

/** An instrument that was taken out, at an instant and on its local day. */
export interface HistoryReplacement {
  meter: Meter;
  at: number;
  day: EpochDay;
  oldFinalValue: number;
  oldUnit: ReadingUnit;
  newInitialValue: number;
  newUnit: ReadingUnit;
}

/** What is known of a vehicle when one of its readings has to be judged; days are local to its depot. */
export interface VehicleHistory {
  vehicleId: string;
  fleetId: string;
  zone: string;
  odometerUnit: 'km' | 'mi';
  dutyClass: string;
  statedYearlyDistanceKm: number | null;
  /** [instant in milliseconds, local day, value, unit, meter] of the accepted readings, earliest first */
  readings: [number, EpochDay, number, ReadingUnit, Meter][];
  /** earliest first */
  replacements: HistoryReplacement[];
  /** [local day, duty class], earliest first */
  dutyChanges: [EpochDay, string][];
  /** [first day off the road, first day back] */
  offRoad: [EpochDay, EpochDay][];
  /** fitted models of the fleet by `<meter> <duty class>` */
  models: Record<string, UsageModel>;
}

/** What the records of a vehicle say about its meters. */
export function vehicleHistoryOf(
  records: VehicleRecords,
  usageModels: readonly StoredUsageModel[],
): VehicleHistory {
  const { vehicleId, fleetId, zone, odometerUnit, dutyClass, statedYearlyDistanceKm } = records;
  const ofFleet = usageModels.filter((one) => one.fleetId === fleetId);
  return {
    vehicleId,
    fleetId,
    zone,
    odometerUnit,
    dutyClass,
    statedYearlyDistanceKm,
    readings: (records.readings ?? []).map(([day, value, unit, meter, at]) => [at, day, value, unit, meter]),
    replacements: records.replacements ?? [],
    dutyChanges: records.dutyChanges ?? [],
    offRoad: records.offRoad ?? [],
    models: Object.fromEntries(ofFleet.map((one) => [`${one.meter} ${one.dutyClass}`, one.model])),
  };
}

/** A reading on file that a new one may repeat. */
export interface ReadingOnFile {
  id: string;
  vehicleId: string;
  meter: Meter;
  value: number;
  unit: ReadingUnit;
  at: number;
  source: string;
  externalKey: string | null;
}

/** A reading as it comes in; its fields are valid by themselves. `meter` is the odometer unless given. */
export interface OdometerReadingRow {
  vehicleId: string;
  /** RFC 3339 with its offset */
  readAt: string;
  value: number;
  /** the unit that the vehicle's odometer counts in, unless given */
  unit?: ReadingUnit | null;
  source: string;
  meter?: Meter | null;
  externalKey?: string | null;
}
