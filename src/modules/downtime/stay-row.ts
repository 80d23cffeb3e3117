import type { DowntimeMinutes } from '../../core/working-time/downtime-record';
import { downtimeMinutes } from '../../core/working-time/downtime-record';

/** A vehicle's stay in a workshop, as it follows from its booking. */
export interface StayRow {
  bookingId: string;
  vehicleId: string;
  registrationMark: string;
  fleetId: string;
  depotId: string;
  workshopId: string;
  cause: 'planned' | 'failure';
  arrivedAt: Date;
  releasedAt: Date | null;
  workStartedAt: Date | null;
  workPeriods: { startsAt: string; endsAt: string }[] | null;
}

export function minutesOf(
  { arrivedAt, releasedAt, workStartedAt, workPeriods }: StayRow,
  nowAt: number,
): DowntimeMinutes {
  return downtimeMinutes(
    {
      arrivedAt: arrivedAt.getTime(),
      releasedAt: releasedAt?.getTime() ?? null,
      workStartedAt: workStartedAt?.getTime() ?? null,
      workPeriods:
        workPeriods?.map(({ startsAt, endsAt }) => ({
          startsAt: Date.parse(startsAt),
          endsAt: Date.parse(endsAt),
        })) ?? null,
    },
    nowAt,
  );
}
