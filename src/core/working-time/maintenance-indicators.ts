import { InputError } from '../shared/input-error';
import { differenceOf, InstantSet, instantSetOf, intersectionOf, lengthMs, Period } from './instant-set';

/** A time in which an item was down for maintenance: after a failure, or planned. */
export interface Downtime extends Period {
  readonly cause: 'failure' | 'planned';
}

/** Sums over a reporting period, all in minutes of required time. */
export interface DowntimeSums {
  readonly requiredMinutes: number;
  readonly failures: number;
  readonly failureDowntimeMinutes: number;
  readonly plannedDowntimeMinutes: number;
}

/**
 * Indicators by name, with their numbers in EN 15341:2007 (the edition of 2019 numbers them anew). Percentages
 * from 0 to 100. Null where the divisor is zero: no failures means no mean time, not a mean time of zero.
 */
export interface DowntimeIndicators {
  readonly operatingMinutes: number;
  /** T17: operating time ÷ number of failures. */
  readonly meanOperatingMinutesBetweenFailures: number | null;
  /** T21: time to restoration ÷ number of failures. */
  readonly meanMinutesToRestoration: number | null;
  /** T1: operating time ÷ (operating time + all downtime for maintenance). */
  readonly availabilityAgainstMaintenancePercent: number | null;
  /** T2: up time achieved during required time ÷ required time. */
  readonly availabilityInRequiredTimePercent: number | null;
  /** T6: operating time ÷ (operating time + downtime from failures). */
  readonly availabilityAgainstFailuresPercent: number | null;
  /** T7: operating time ÷ (operating time + downtime for planned maintenance). */
  readonly availabilityAgainstPlannedMaintenancePercent: number | null;
}

/**
 * Sums the downtime of one item over a reporting period. Terms of EN 13306: required time is the time in which
 * the item is wanted; downtime outside of it does not count. Time that is down for two reasons counts once, as
 * downtime from a failure. A failure counts in the period in which it starts, its downtime where it falls; one
 * that starts before the period adds downtime but no failure.
 *
 * @param requiredTime instants of the reporting period at which the item is wanted
 * @param period the reporting period
 * @throws InputError for a downtime that does not end after it starts
 */
export function sumDowntime(
  requiredTime: InstantSet,
  period: Period,
  downtimes: readonly Downtime[],
): DowntimeSums {
  const required = intersectionOf(requiredTime, [period.startsAt, period.endsAt]);
  const of = (cause: Downtime['cause']) => downtimes.filter((downtime) => downtime.cause === cause);
  const afterFailure = instantSetOf(of('failure'), 'downtimes');
  const planned = differenceOf(instantSetOf(of('planned'), 'downtimes'), afterFailure);
  const minutes = (set: InstantSet) => lengthMs(set) / 60_000;
  return {
    requiredMinutes: minutes(required),
    failures: of('failure').filter(({ startsAt }) => startsAt >= period.startsAt && startsAt < period.endsAt)
      .length,
    failureDowntimeMinutes: minutes(intersectionOf(required, afterFailure)),
    plannedDowntimeMinutes: minutes(intersectionOf(required, planned)),
  };
}

/** The sums of several items, or of several periods, as one. */
export function addDowntimeSums(sums: readonly DowntimeSums[]): DowntimeSums {
  const total = (of: (sum: DowntimeSums) => number) => sums.reduce((before, sum) => before + of(sum), 0);
  return {
    requiredMinutes: total((sum) => sum.requiredMinutes),
    failures: total((sum) => sum.failures),
    failureDowntimeMinutes: total((sum) => sum.failureDowntimeMinutes),
    plannedDowntimeMinutes: total((sum) => sum.plannedDowntimeMinutes),
  };
}

/**
 * Availability and mean times from sums. Required time that is not downtime counts as operating time. Not
 * rounded. Formulas: EN 15341:2007, T1, T2, T6, T7, T17, T21 (from memory).
 *
 * @throws InputError where a sum is negative or the downtime exceeds the required time
 */
export function downtimeIndicators(sums: DowntimeSums): DowntimeIndicators {
  const { requiredMinutes, failures, failureDowntimeMinutes, plannedDowntimeMinutes } = sums;
  for (const [field, value] of Object.entries(sums) as [keyof DowntimeSums, number][])
    if (!(value >= 0)) throw new InputError(field, `${value} is negative`, 'give zero or more');
  const downMinutes = failureDowntimeMinutes + plannedDowntimeMinutes;
  if (downMinutes > requiredMinutes)
    throw new InputError('requiredMinutes', 'more downtime than required time', 'count downtime in it only');
  const operatingMinutes = requiredMinutes - downMinutes;
  return {
    operatingMinutes,
    meanOperatingMinutesBetweenFailures: ratio(operatingMinutes, failures),
    meanMinutesToRestoration: ratio(failureDowntimeMinutes, failures),
    availabilityAgainstMaintenancePercent: percent(operatingMinutes, operatingMinutes + downMinutes),
    availabilityInRequiredTimePercent: percent(requiredMinutes - downMinutes, requiredMinutes),
    availabilityAgainstFailuresPercent: percent(operatingMinutes, operatingMinutes + failureDowntimeMinutes),
    availabilityAgainstPlannedMaintenancePercent: percent(
      operatingMinutes,
      operatingMinutes + plannedDowntimeMinutes,
    ),
  };
}

/** Work done in a reporting period. Costs in whole minor units of one currency. */
export interface MaintenanceWork {
  readonly correctiveCost: number;
  readonly preventiveCost: number;
  readonly correctiveLabourMinutes: number;
  readonly preventiveLabourMinutes: number;
  readonly ordersScheduled: number;
  readonly ordersDoneAsScheduled: number;
}

/** Shares in per cent, null where there is nothing to share. Numbers of EN 15341:2007. */
export interface WorkIndicators {
  /** E15 and E16: corrective and preventive cost ÷ total maintenance cost. */
  readonly correctiveCostPercent: number | null;
  readonly preventiveCostPercent: number | null;
  /** O16 and O18: corrective and preventive ÷ total maintenance labour. */
  readonly correctiveLabourPercent: number | null;
  readonly preventiveLabourPercent: number | null;
  /** O22: work orders done as scheduled ÷ work orders scheduled. */
  readonly scheduleKeptPercent: number | null;
}

/** Shares of cost, labour and kept schedule. Not rounded. Formulas: EN 15341:2007 (from memory). */
export function workIndicators(work: MaintenanceWork): WorkIndicators {
  const cost = work.correctiveCost + work.preventiveCost;
  const labour = work.correctiveLabourMinutes + work.preventiveLabourMinutes;
  return {
    correctiveCostPercent: percent(work.correctiveCost, cost),
    preventiveCostPercent: percent(work.preventiveCost, cost),
    correctiveLabourPercent: percent(work.correctiveLabourMinutes, labour),
    preventiveLabourPercent: percent(work.preventiveLabourMinutes, labour),
    scheduleKeptPercent: percent(work.ordersDoneAsScheduled, work.ordersScheduled),
  };
}

function percent(part: number, whole: number): number | null {
  return whole === 0 ? null : (100 * part) / whole;
}

function ratio(total: number, count: number): number | null {
  return count === 0 ? null : total / count;
}
