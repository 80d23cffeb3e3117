import { joinFailures } from '../../core/working-time/downtime-record';
import { complementOf, instantSetOf, type Period } from '../../core/working-time/instant-set';
import {
  addDowntimeSums,
  downtimeIndicators,
  sumDowntime,
  workIndicators,
  type Downtime,
  type DowntimeSums,
} from '../../core/working-time/maintenance-indicators';
import type { IndicatorsDto } from './dto/downtime.dto';
import type { DowntimesRow, RequiredRow, WorkRow } from './downtime.repository';
import type { GroupRecords } from './into-groups';

/** Indicators of a group of vehicles: the sums of each vehicle's required time and down time, and of its work. */
export function indicatorsOf(group: GroupRecords, period: Period): IndicatorsDto {
  const downtimes = byVehicle(group.downtimes);
  const sums = addDowntimeSums(
    group.required.map((vehicle) =>
      sumDowntime(
        requiredTime(vehicle, period),
        period,
        joinFailures(downtimes.get(vehicle.vehicleId) ?? []),
      ),
    ),
  );
  return {
    ...headOf(group, sums),
    vehicles: group.required.length,
    requiredMinutes: sums.requiredMinutes,
    ...downtimeIndicators(sums),
    ...workOf(group.work),
  };
}

/** The same for a workshop: what it repaired, not what was required of it. */
export function workshopIndicatorsOf(group: GroupRecords, period: Period): IndicatorsDto {
  const always = [period.startsAt, period.endsAt];
  const downtimes = byVehicle(group.downtimes);
  const sums = addDowntimeSums(
    [...downtimes.values()].map((stays) => sumDowntime(always, period, joinFailures(stays))),
  );
  const { meanMinutesToRestoration } = downtimeIndicators(sums);
  return {
    ...headOf(group, sums),
    vehicles: downtimes.size,
    requiredMinutes: null,
    operatingMinutes: null,
    meanOperatingMinutesBetweenFailures: null,
    meanMinutesToRestoration,
    availabilityAgainstMaintenancePercent: null,
    availabilityInRequiredTimePercent: null,
    availabilityAgainstFailuresPercent: null,
    availabilityAgainstPlannedMaintenancePercent: null,
    ...workOf(group.work),
  };
}

function byVehicle(rows: readonly DowntimesRow[]): Map<string, Downtime[]> {
  const found = new Map<string, Downtime[]>();
  for (const { vehicleId, downtimes } of rows)
    found.set(vehicleId, [...(found.get(vehicleId) ?? []), ...downtimes]);
  return found;
}

function headOf(
  { id, name }: GroupRecords,
  { failures, failureDowntimeMinutes, plannedDowntimeMinutes }: DowntimeSums,
) {
  return { id, name, failures, failureDowntimeMinutes, plannedDowntimeMinutes };
}

function requiredTime({ fromAt, untilAt, offRoad }: RequiredRow, period: Period): readonly number[] {
  const from = Math.max(period.startsAt, fromAt ?? -Infinity);
  const until = Math.min(period.endsAt, untilAt ?? Infinity);
  if (from >= until) return [];
  return complementOf(instantSetOf(offRoad), from, until);
}

function workOf(work: readonly WorkRow[]) {
  const total = (of: (row: WorkRow) => number): number => work.reduce((sum, row) => sum + of(row), 0);
  const { correctiveLabourPercent, preventiveLabourPercent, scheduleKeptPercent } = workIndicators({
    correctiveCost: 0,
    preventiveCost: 0,
    correctiveLabourMinutes: total((row) => row.correctiveLabourMinutes),
    preventiveLabourMinutes: total((row) => row.preventiveLabourMinutes),
    ordersScheduled: total((row) => row.scheduled),
    ordersDoneAsScheduled: total((row) => row.doneAsScheduled),
  });
  return { correctiveLabourPercent, preventiveLabourPercent, scheduleKeptPercent };
}
