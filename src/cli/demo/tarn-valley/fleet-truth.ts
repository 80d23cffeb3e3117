import { CalendarDate, EpochDay } from '../../../core/shared/calendar-date';
import { ReadingFault } from './reading-faults';
import { DutyClass } from './fleet-vehicles';
import { TrueDistancePath } from './true-distance-path';

/** One mistake that was put into the file of odometer readings. */
export interface FaultTruth {
  fault: ReadingFault;
  /** Line of the file, the header being line 1. */
  line: number;
  externalKey: string;
  vehicleKey: string;
  /** RFC 3339, local to the depot. */
  trueReadAt: string;
  trueValue: string;
  givenReadAt: string;
  givenValue: string;
  unit: 'km' | 'mi' | 'h';
}

/** A reading that was put close to a clock change. */
export interface ClockChangeTruth {
  externalKey: string;
  vehicleKey: string;
  zone: string;
  /** First instant with the new offset, in UTC. */
  changeAt: string;
  direction: 'forward' | 'back';
  when: 'before' | 'repeated-first' | 'repeated-second' | 'after';
  readAt: string;
}

/** What is true of a vehicle, told or not. */
export interface VehicleTruth {
  externalKey: string;
  zone: string;
  odometerUnit: 'km' | 'mi';
  inServiceOn: CalendarDate;
  inServiceDay: EpochDay;
  kmPerEngineHour: number;
  path: TrueDistancePath;
  dutyChange: { fromOn: CalendarDate; before: DutyClass; after: DutyClass; rateFactor: number } | undefined;
}

/** What the files hide: how the vehicles were really used, and what is wrong in the files on purpose. */
export interface TarnValleyTruth {
  vehicles: ReadonlyMap<string, VehicleTruth>;
  faults: readonly FaultTruth[];
  clockChanges: readonly ClockChangeTruth[];
  instrumentChange: {
    vehicleKey: string;
    replacedAt: string;
    oldFinalValue: number;
    newInitialValue: number;
  };
  leapDay: { on: CalendarDate; inServiceVehicleKey: string; taskVehicleKey: string };
  contradictoryLayoutVehicleKey: string;
  brakeReserveFindingVehicleKey: string;
  vehicleKeysWithoutLayout: readonly string[];
  vehicleKeysWithoutHistory: readonly string[];
  vehicleKeysWithoutReadings: readonly string[];
  vehicleKeysWithoutInServiceDate: readonly string[];
  vehicleKeysWithWrongVinCheckDigit: readonly string[];
}
