import type { UsageRecord } from '../../core/usage/usage-estimate';
import { usageRecordOf } from './due-input-of';
import type { Meter, VehicleRecords } from './vehicle-records';

/** A part of a vehicle's record in which its duty was the same. */
export interface DutyStretch {
  dutyClass: string;
  record: UsageRecord;
}

/**
 * Cuts a vehicle's record where its duty changed, so that each duty class learns from its own days only.
 * Stretches without a reading are left out.
 */
export function dutyStretchesOf(records: VehicleRecords, meter: Meter): DutyStretch[] {
  const whole = usageRecordOf(records, meter);
  const changes = records.dutyChanges ?? [];
  const starts: [day: number, dutyClass: string][] = [[-Infinity, records.dutyClass], ...changes];
  return starts
    .map(([from, dutyClass], index) => {
      const until = starts[index + 1]?.[0] ?? Infinity;
      const track = whole.track.filter(({ day }) => day >= from && day < until);
      return { dutyClass, record: { ...whole, track, dutyChangeDays: [] } };
    })
    .filter(({ record }) => record.track.length > 0);
}
