import type { HydraulicLayout } from '../../core/hydraulics/hydraulic-layout';
import type { Measured, MeasuredField, SystemTestTask } from '../../core/tests/system-test';
import type { SystemTest } from './system-test.entity';

/** A test as a file states it; its fields are valid by themselves. */
export type SystemTestRow = { [F in MeasuredField]?: Measured[F] | null } & {
  vehicleId: string;
  task: SystemTestTask;
  /** RFC 3339, with its offset */
  doneAt: string;
  ambientTemperatureC?: number | null;
  altitudeM?: number | null;
  gaugeId?: string | null;
  doneBy: string;
  note?: string | null;
  externalKey?: string | null;
};

/** A test to record, with every field decided. */
export type RecordedTest = Pick<
  SystemTest,
  | 'vehicleId'
  | 'fleetId'
  | 'doneAt'
  | 'measured'
  | 'limits'
  | 'outcome'
  | 'outcomeReasons'
  | 'findings'
  | 'ambientTemperatureC'
  | 'altitudeM'
  | 'gaugeId'
  | 'gaugeOverdue'
  | 'doneBy'
  | 'note'
  | 'externalKey'
> & { task: SystemTestTask };

/** What a vehicle says of a test on it. */
export interface TestedVehicle {
  vehicleId: string;
  fleetId: string;
  /** IANA zone of the depot */
  zone: string;
  inServiceOn: string | null;
  /** as recorded; null where nobody recorded one */
  layout: HydraulicLayout | null;
  /** the service programme in force */
  programmeVersionId: string | null;
}
