import { InputError } from '../shared/input-error';
import { instantSetOf, intersectionOf, lengthMs, periodsOf, type Period } from './instant-set';
import type { Downtime } from './maintenance-indicators';

/** What is known of a vehicle's stay in a workshop. Instants in milliseconds since the epoch. */
export interface WorkshopStay {
  readonly arrivedAt: number;
  /** When it could go back to the road; null while it is down. */
  readonly releasedAt: number | null;
  /** When work began; null before. */
  readonly workStartedAt: number | null;
  /** Who worked when, one period each; null until the job is signed off. */
  readonly workPeriods: readonly Period[] | null;
}

/** The minutes of a stay. Terms of EN 13306 (from memory). Not rounded. */
export interface DowntimeMinutes {
  /** From the arrival until the release, or until now. */
  readonly totalMinutes: number;
  /** Active maintenance time: while at least one person worked. */
  readonly activeMinutes: number;
  /** The rest: waiting for people, parts, the next morning. */
  readonly waitingMinutes: number;
  /** Of all people together. */
  readonly labourMinutes: number;
}

/**
 * Splits a stay into active and waiting time. Work that is not signed off yet counts from its start until now, for
 * one person.
 *
 * @throws InputError where the vehicle was released before it arrived
 */
export function downtimeMinutes(
  { arrivedAt, releasedAt, workStartedAt, workPeriods }: WorkshopStay,
  nowAt: number,
): DowntimeMinutes {
  const untilAt = releasedAt ?? Math.max(nowAt, arrivedAt);
  if (untilAt < arrivedAt)
    throw new InputError('releasedAt', 'the vehicle was released before it arrived', 'give a later moment');
  const stay = [arrivedAt, untilAt];
  const worked = workPeriods ?? ongoing(workStartedAt, untilAt);
  const within = (periods: readonly Period[]): number =>
    arrivedAt === untilAt ? 0 : lengthMs(intersectionOf(instantSetOf(periods), stay)) / MS_PER_MINUTE;
  const totalMinutes = (untilAt - arrivedAt) / MS_PER_MINUTE;
  const activeMinutes = within(worked);
  return {
    totalMinutes,
    activeMinutes,
    waitingMinutes: totalMinutes - activeMinutes,
    labourMinutes: worked.reduce((sum, period) => sum + within([period]), 0),
  };
}

/**
 * The down times of one vehicle as the indicators count them. What is down already cannot fail again: stays for a
 * failure that touch or overlap, such as that of a vehicle that left on hold and the next one, are one failure.
 *
 * @throws InputError for a stay that does not end after it starts
 */
export function joinFailures(stays: readonly Downtime[]): Downtime[] {
  const failures = stays.filter(({ cause }) => cause === 'failure');
  return [
    ...stays.filter(({ cause }) => cause === 'planned'),
    ...periodsOf(instantSetOf(failures, 'stays')).map((period) => ({ ...period, cause: 'failure' as const })),
  ];
}

const MS_PER_MINUTE = 60_000;

function ongoing(workStartedAt: number | null, untilAt: number): Period[] {
  return workStartedAt === null || workStartedAt >= untilAt
    ? []
    : [{ startsAt: workStartedAt, endsAt: untilAt }];
}
