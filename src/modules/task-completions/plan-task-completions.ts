import { keyOfAnotherVehicle, noSuchVehicle, type PlannedRow } from '../../platform/bulk/planned-row';
import type { CompletedWork, VehicleOfWork } from './completed-work';
import type { TaskCompletion } from './task-completion.entity';
import { dayError, voidedUnderThisKey } from './task-completions.errors';

/** Work as a file states it; its fields are valid by themselves. */
export interface TaskCompletionRow {
  vehicleId: string;
  task: string;
  position?: string | null;
  doneOn: string;
  /** left out, the work was done */
  outcome?: 'done' | 'failed' | null;
  odometerValue?: number | null;
  /** left out, the vehicle's own; without a value it means nothing */
  odometerUnit?: 'km' | 'mi' | null;
  engineHours?: number | null;
  doneBy?: string | null;
  note?: string | null;
  externalKey?: string | null;
}

export type PlannedTaskCompletion = PlannedRow<TaskCompletion, CompletedWork>;

/**
 * Decides what becomes of each row. A row with a known key corrects that record. A row without a key that says
 * what is on file already changes nothing: the same task at the same place on the same day with the same
 * meters. What was voided stays voided, however often a file repeats it.
 *
 * @param stored records of the vehicles' days, voided ones too, and those that have one of the keys
 */
export function planTaskCompletions(
  rows: readonly TaskCompletionRow[],
  stored: readonly TaskCompletion[],
  vehicles: ReadonlyMap<string, VehicleOfWork>,
  todayOnOf: (vehicle: VehicleOfWork) => string,
): PlannedTaskCompletion[] {
  const byKey = new Map<string, TaskCompletion | CompletedWork>();
  const byIdentity = new Map<string, TaskCompletion | CompletedWork>();
  const remember = (work: TaskCompletion | CompletedWork): void => {
    if (work.externalKey !== null) byKey.set(work.externalKey, work);
    byIdentity.set(identityOf(work), work);
  };
  stored.forEach(remember);

  return rows.map((row): PlannedTaskCompletion => {
    const vehicle = vehicles.get(row.vehicleId);
    if (vehicle === undefined) return { outcome: 'rejected', errors: [noSuchVehicle(row.vehicleId)] };
    const wrongDay = dayError(row.doneOn, todayOnOf(vehicle), vehicle.inServiceOn);
    if (wrongDay !== null) return { outcome: 'rejected', errors: [wrongDay] };
    const work = completedWork(row, vehicle);
    const key = work.externalKey;
    const known = key === null ? byIdentity.get(identityOf(work)) : byKey.get(key);
    if (known === undefined) {
      remember(work);
      return { outcome: 'created', record: work };
    }
    if (key === null) return { outcome: 'unchanged', record: known };
    if (known.vehicleId !== work.vehicleId) {
      return { outcome: 'rejected', errors: [keyOfAnotherVehicle(key)] };
    }
    if (identityOf(known) === identityOf(work) && known.doneBy === work.doneBy && known.note === work.note) {
      return { outcome: 'unchanged', record: known };
    }
    if ('voidedAt' in known && known.voidedAt !== null) {
      return { outcome: 'rejected', errors: [voidedUnderThisKey(key)] };
    }
    byIdentity.delete(identityOf(known));
    Object.assign(known, work);
    remember(known);
    return { outcome: 'updated', record: known };
  });
}

export function completedWork(row: TaskCompletionRow, vehicle: VehicleOfWork): CompletedWork {
  const odometerValue = row.odometerValue ?? null;
  return {
    vehicleId: row.vehicleId,
    task: row.task,
    position: row.position ?? null,
    doneOn: row.doneOn,
    outcome: row.outcome ?? 'done',
    odometerValue,
    odometerUnit: odometerValue === null ? null : (row.odometerUnit ?? vehicle.odometerUnit),
    engineHours: row.engineHours ?? null,
    doneBy: row.doneBy ?? null,
    note: row.note ?? null,
    externalKey: row.externalKey ?? null,
  };
}

function identityOf(work: CompletedWork): string {
  const { vehicleId, task, position, doneOn, outcome, odometerValue, odometerUnit, engineHours } = work;
  return JSON.stringify([
    vehicleId,
    task,
    position,
    doneOn,
    outcome,
    odometerValue,
    odometerUnit,
    engineHours,
  ]);
}
