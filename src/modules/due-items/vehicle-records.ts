import type { HydraulicLayout } from '../../core/hydraulics/hydraulic-layout';
import type { ProgrammeOptions } from '../../core/due/rule';
import type { CalendarDate, EpochDay } from '../../core/shared/calendar-date';
import type { InstrumentReplacement, ReadingUnit } from '../../core/usage/meter-track';
import type { UsageModel } from '../../core/usage/usage-model';
import type { PrechargeModel } from '../../core/precharge/precharge-model';

export type Meter = 'odometer' | 'engine-hours';

/** Everything recorded of one vehicle that its due items depend on; days are local to its depot. */
export interface VehicleRecords {
  vehicleId: string;
  fleetId: string;
  depotId: string;
  zone: string;
  odometerUnit: 'km' | 'mi';
  dutyClass: string;
  inServiceOn: CalendarDate | null;
  inServiceOdometerKm: number | null;
  inServiceEngineHours: number | null;
  statedYearlyDistanceKm: number | null;
  retiredOn: CalendarDate | null;
  programmeVersionId: string | null;
  layout: HydraulicLayout | null;
  /** [local day, value, unit, meter, milliseconds] of the accepted readings, earliest first */
  readings: [EpochDay, number, ReadingUnit, Meter, number][] | null;
  /** earliest first; `at` in milliseconds */
  replacements: (InstrumentReplacement & { meter: Meter; at: number })[] | null;
  /** [local day, duty class], earliest first */
  dutyChanges: [EpochDay, string][] | null;
  /** [first day off the road, first day back] */
  offRoad: [EpochDay, EpochDay][] | null;
  completions:
    | {
        id: string;
        task: string;
        position: string | null;
        doneOn: CalendarDate;
        odometerValue: number | null;
        odometerUnit: 'km' | 'mi' | null;
        engineHours: number | null;
        outcome: 'done' | 'failed';
      }[]
    | null;
  /** tests of the system as a whole that had a clear answer */
  systemTests: SystemTestRecord[] | null;
  /** gas units that are fitted now */
  units: UnitRecord[];
}

export interface SystemTestRecord {
  id: string;
  task: string;
  doneOn: CalendarDate;
  /** milliseconds */
  at: number;
  outcome: 'done' | 'failed';
}

/** A gas unit that is fitted to a vehicle, and what is recorded of it from before. */
export interface UnitRecord {
  unitId: string;
  serialNumber: string;
  typeId: string;
  typeCode: string;
  nominalPrecharge20BarGauge: number;
  /** how units of its type lose gas, as learnt from them; null where nothing was */
  model: PrechargeModel | null;
  madeOn: CalendarDate | null;
  position: string;
  fittedOn: CalendarDate;
  /** the vehicle's total distance at the fitting */
  vehicleTotalKmAtFitting: number | null;
  /** periods on vehicles before this one, earliest first: days and total distances at their ends */
  earlierFitments:
    { fromDay: EpochDay; untilDay: EpochDay; fromKm: number | null; untilKm: number | null }[] | null;
  /** precharge tests and charges, earliest first */
  events: UnitEventRecord[] | null;
}

export interface UnitEventRecord {
  id: string;
  kind: 'precharge-test' | 'charge';
  doneOn: CalendarDate;
  at: number;
  precharge20BarGauge: number;
  outcome: 'passed' | 'failed' | 'inconclusive';
}

export interface StoredProgrammeVersion {
  id: string;
  rules: ProgrammeOptions['rules'];
  severityByDutyClass: Record<string, number>;
}

export interface StoredUsageModel {
  fleetId: string;
  meter: Meter;
  dutyClass: string;
  model: UsageModel;
}

/** Vehicles in service by what they have in common. */
export interface VehicleFilter {
  depotId?: string;
  fleetId?: string;
  programmeId?: string;
  /** neither the vehicle nor its fleet has a programme of its own */
  followsDefault?: boolean;
}
