import { instantSetOf, complementOf, intersectionOf, type Period } from '../../core/working-time/instant-set';
import {
  addDowntimeSums,
  downtimeIndicators,
  sumDowntime,
  workIndicators,
  type DowntimeSums,
} from '../../core/working-time/maintenance-indicators';
import type { IndicatorsDto } from './dto/downtime.dto';
import type { RequiredRow, ScheduleRow } from './downtime.repository';
import type { StayRow } from './stay-row';

/** What the indicators of a group are made from. */
export interface GroupRecords {
  id: string | null;
  name: string | null;
  required: readonly RequiredRow[];
  stays: readonly StayRow[];
  schedule: readonly ScheduleRow[];
}

/**
 * Indicators of a group of vehicles: the sums of each vehicle's required time and down time, and of its work.
 *
 * @param nowAt until when a vehicle is down that was not released
 */
export function indicatorsOf(group: GroupRecords, period: Period, nowAt: number): IndicatorsDto {
  const sums = addDowntimeSums(
    group.required.map((vehicle) =>
      sumDowntime(
        requiredTime(vehicle, period),
        period,
        downtimesOf(
          group.stays.filter(({ vehicleId }) => vehicleId === vehicle.vehicleId),
          nowAt,
        ),
      ),
    ),
  );
  const head = headOf(group, sums, sums.requiredMinutes);
  return { ...head, ...downtimeIndicators(sums), ...workOf(group.schedule) };
}

/** The same for a workshop: what it repaired, not what was required of it. */
export function workshopIndicatorsOf(group: GroupRecords, period: Period, nowAt: number): IndicatorsDto {
  const always = [period.startsAt, period.endsAt];
  const byVehicle = new Map<string, StayRow[]>();
  for (const stay of group.stays)
    byVehicle.set(stay.vehicleId, [...(byVehicle.get(stay.vehicleId) ?? []), stay]);
  const sums = addDowntimeSums(
    [...byVehicle.values()].map((stays) => sumDowntime(always, period, downtimesOf(stays, nowAt))),
  );
  const { meanMinutesToRestoration } = downtimeIndicators(sums);
  return {
    ...headOf(group, sums, null),
    vehicles: byVehicle.size,
    operatingMinutes: null,
    meanOperatingMinutesBetweenFailures: null,
    meanMinutesToRestoration,
    availabilityAgainstMaintenancePercent: null,
    availabilityInRequiredTimePercent: null,
    availabilityAgainstFailuresPercent: null,
    availabilityAgainstPlannedMaintenancePercent: null,
    ...workOf(group.schedule),
  };
}

function headOf({ id, name, required }: GroupRecords, sums: DowntimeSums, requiredMinutes: number | null) {
  const { failures, failureDowntimeMinutes, plannedDowntimeMinutes } = sums;
  return {
    id,
    name,
    vehicles: required.length,
    requiredMinutes,
    failures,
    failureDowntimeMinutes,
    plannedDowntimeMinutes,
  };
}

function requiredTime({ fromAt, untilAt, offRoad }: RequiredRow, period: Period): readonly number[] {
  const from = Math.max(period.startsAt, fromAt?.getTime() ?? -Infinity);
  const until = Math.min(period.endsAt, untilAt?.getTime() ?? Infinity);
  if (from >= until) return [];
  const away = instantSetOf(
    offRoad.map(({ startsAt, endsAt }) => ({ startsAt: Date.parse(startsAt), endsAt: Date.parse(endsAt) })),
  );
  return intersectionOf([from, until], complementOf(away, from, until));
}

function downtimesOf(stays: readonly StayRow[], nowAt: number) {
  return stays.flatMap(({ arrivedAt, releasedAt, cause }) => {
    const startsAt = arrivedAt.getTime();
    const endsAt = releasedAt?.getTime() ?? nowAt;
    return endsAt > startsAt ? [{ startsAt, endsAt, cause }] : [];
  });
}

function workOf(schedule: readonly ScheduleRow[]) {
  const minutes = (cause: ScheduleRow['cause']): number =>
    schedule.filter((row) => row.cause === cause).reduce((sum, row) => sum + row.labourMinutes, 0);
  const { correctiveLabourPercent, preventiveLabourPercent, scheduleKeptPercent } = workIndicators({
    correctiveCost: 0,
    preventiveCost: 0,
    correctiveLabourMinutes: minutes('failure'),
    preventiveLabourMinutes: minutes('planned'),
    ordersScheduled: schedule.length,
    ordersDoneAsScheduled: schedule.filter(({ asScheduled }) => asScheduled).length,
  });
  return { correctiveLabourPercent, preventiveLabourPercent, scheduleKeptPercent };
}
