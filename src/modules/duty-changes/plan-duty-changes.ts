import type { CalendarDate } from '../../core/shared/calendar-date';
import { keyOfAnotherVehicle, noSuchVehicle, type PlannedRow } from '../../platform/bulk/planned-row';
import type { DutyChange } from './duty-change.entity';
import { anotherChangeThatDay, laterThanToday } from './duty-changes.errors';

/** A duty change as a file states it; its fields are valid by themselves. */
export interface DutyChangeRow {
  vehicleId: string;
  fromOn: CalendarDate;
  dutyClass: string;
  note?: string | null;
  externalKey?: string | null;
}

/** A duty change to record. */
export type PlannedChange = Pick<DutyChange, 'vehicleId' | 'fromOn' | 'dutyClass' | 'note' | 'externalKey'>;

export type PlannedDutyChange = PlannedRow<DutyChange, PlannedChange>;

/**
 * Decides what becomes of each row. A row with a known key updates that change; one without a key that says
 * what is on file for its day already changes nothing; one that contradicts it is refused.
 *
 * @param stored every change of the vehicles, and those that have one of the keys
 * @param todayOnOf today at the vehicle's depot; null for a vehicle that does not exist
 */
export function planDutyChanges(
  rows: readonly DutyChangeRow[],
  stored: readonly DutyChange[],
  todayOnOf: (vehicleId: string) => CalendarDate | null,
): PlannedDutyChange[] {
  const byKey = new Map<string, DutyChange | PlannedChange>();
  const byDay = new Map<string, DutyChange | PlannedChange>();
  const dayOf = ({ vehicleId, fromOn }: PlannedChange): string => `${vehicleId} ${fromOn}`;
  const remember = (change: DutyChange | PlannedChange): void => {
    if (change.externalKey !== null) byKey.set(change.externalKey, change);
    byDay.set(dayOf(change), change);
  };
  stored.forEach(remember);

  return rows.map(({ note = null, externalKey = null, ...rest }): PlannedDutyChange => {
    const row: PlannedChange = { ...rest, note, externalKey };
    const todayOn = todayOnOf(row.vehicleId);
    if (todayOn === null) return { outcome: 'rejected', errors: [noSuchVehicle(row.vehicleId)] };
    if (row.fromOn > todayOn) return { outcome: 'rejected', errors: [laterThanToday(row.fromOn, todayOn)] };
    const sameKey = row.externalKey === null ? undefined : byKey.get(row.externalKey);
    if (sameKey !== undefined && sameKey.vehicleId !== row.vehicleId) {
      return { outcome: 'rejected', errors: [keyOfAnotherVehicle(row.externalKey ?? '')] };
    }
    const sameDay = byDay.get(dayOf(row));
    const known = sameKey ?? (row.externalKey === null ? sameDay : undefined);
    if (sameDay !== undefined && sameDay !== known) {
      return { outcome: 'rejected', errors: [anotherChangeThatDay(sameDay)] };
    }
    if (known === undefined) {
      remember(row);
      return { outcome: 'created', record: row };
    }
    const same = known.fromOn === row.fromOn && known.dutyClass === row.dutyClass;
    if (same && (known.note === row.note || sameKey === undefined)) {
      return { outcome: 'unchanged', record: known };
    }
    if (sameKey === undefined) return { outcome: 'rejected', errors: [anotherChangeThatDay(known)] };
    byDay.delete(dayOf(known));
    Object.assign(known, { fromOn: row.fromOn, dutyClass: row.dutyClass, note: row.note });
    remember(known);
    return { outcome: 'updated', record: known };
  });
}
