import type { TaskCompletion } from './task-completion.entity';

/** Work to record, with every field decided. */
export type CompletedWork = Pick<
  TaskCompletion,
  | 'vehicleId'
  | 'task'
  | 'position'
  | 'doneOn'
  | 'outcome'
  | 'odometerValue'
  | 'odometerUnit'
  | 'engineHours'
  | 'doneBy'
  | 'note'
  | 'externalKey'
>;

/** What a vehicle says of work on it. */
export interface VehicleOfWork {
  vehicleId: string;
  fleetId: string;
  /** IANA zone of the depot */
  zone: string;
  odometerUnit: 'km' | 'mi';
  inServiceOn: string | null;
}
