import type { CalendarDate } from '../../core/shared/calendar-date';
import { overlaps } from '../../core/shared/day-interval';
import { keyOfAnotherVehicle, noSuchVehicle, type PlannedRow } from '../../platform/bulk/planned-row';
import type { OffRoadPeriod } from './off-road-period.entity';
import { overlapsWith } from './off-road-periods.errors';

/** An off-road period as a file states it; its fields are valid by themselves. */
export interface OffRoadPeriodRow {
  vehicleId: string;
  fromOn: CalendarDate;
  untilOn: CalendarDate;
  reason: string;
  externalKey?: string | null;
}

/** An off-road period to record. */
export type PlannedPeriod = Pick<
  OffRoadPeriod,
  'vehicleId' | 'fromOn' | 'untilOn' | 'reason' | 'externalKey'
>;

export type PlannedOffRoadPeriod = PlannedRow<OffRoadPeriod, PlannedPeriod>;

/**
 * Decides what becomes of each row. A row with a known key updates that period; one without a key that names
 * exactly the days of a period on file changes nothing; one that overlaps another period is refused.
 *
 * @param stored every period of the vehicles, and those that have one of the keys
 */
export function planOffRoadPeriods(
  rows: readonly OffRoadPeriodRow[],
  stored: readonly OffRoadPeriod[],
  isVehicle: (vehicleId: string) => boolean,
): PlannedOffRoadPeriod[] {
  const byKey = new Map<string, OffRoadPeriod | PlannedPeriod>();
  const ofVehicle = new Map<string, (OffRoadPeriod | PlannedPeriod)[]>();
  const remember = (period: OffRoadPeriod | PlannedPeriod): void => {
    if (period.externalKey !== null) byKey.set(period.externalKey, period);
    const others = ofVehicle.get(period.vehicleId);
    if (others === undefined) ofVehicle.set(period.vehicleId, [period]);
    else others.push(period);
  };
  stored.forEach(remember);

  return rows.map(({ externalKey = null, ...rest }): PlannedOffRoadPeriod => {
    const row: PlannedPeriod = { ...rest, externalKey };
    if (!isVehicle(row.vehicleId)) return { outcome: 'rejected', errors: [noSuchVehicle(row.vehicleId)] };
    if (row.untilOn <= row.fromOn) return { outcome: 'rejected', errors: [endsTooEarly(row)] };
    const sameKey = externalKey === null ? undefined : byKey.get(externalKey);
    if (sameKey !== undefined && sameKey.vehicleId !== row.vehicleId) {
      return { outcome: 'rejected', errors: [keyOfAnotherVehicle(externalKey ?? '')] };
    }
    const own = ofVehicle.get(row.vehicleId) ?? [];
    const sameDays = own.find(({ fromOn, untilOn }) => fromOn === row.fromOn && untilOn === row.untilOn);
    if (externalKey === null && sameDays !== undefined) return { outcome: 'unchanged', record: sameDays };
    const other = own.find((period) => period !== sameKey && overlaps(period, row));
    if (other !== undefined) return { outcome: 'rejected', errors: [overlapsWith(other)] };
    if (sameKey === undefined) {
      remember(row);
      return { outcome: 'created', record: row };
    }
    if (sameKey === sameDays && sameKey.reason === row.reason)
      return { outcome: 'unchanged', record: sameKey };
    Object.assign(sameKey, { fromOn: row.fromOn, untilOn: row.untilOn, reason: row.reason });
    return { outcome: 'updated', record: sameKey };
  });
}

function endsTooEarly({ fromOn, untilOn }: PlannedPeriod) {
  return {
    pointer: '#/untilOn',
    detail: `${untilOn} is not after ${fromOn}`,
    remedy: 'give the first day back on the road; it is later than the first day off',
  };
}
