import { parseInstant } from '../../core/shared/instant';
import type { Booking, WorkPeriod } from '../bookings/booking.entity';

/**
 * Who worked when: as stated, or, where nobody says, the booked times of everybody as far as they lie in the work. A
 * job that was done at another time than booked counts from its start to its end for everybody.
 */
export function workPeriodsOf(
  stated: readonly WorkPeriod[] | null,
  { technicianIds, pieces, workStartedAt }: Pick<Booking, 'technicianIds' | 'pieces' | 'workStartedAt'>,
  finishedAt: Date,
): WorkPeriod[] {
  if (stated !== null) {
    return stated.map(({ technicianId, startsAt, endsAt }) => ({
      technicianId,
      startsAt: new Date(parseInstant(startsAt)).toISOString(),
      endsAt: new Date(parseInstant(endsAt)).toISOString(),
    }));
  }
  const startedAt = workStartedAt ?? finishedAt;
  const [from, until] = [startedAt.toISOString(), finishedAt.toISOString()];
  const within = pieces
    .map(({ startsAt, endsAt }) => ({
      startsAt: startsAt > from ? startsAt : from,
      endsAt: endsAt < until ? endsAt : until,
    }))
    .filter(({ startsAt, endsAt }) => startsAt < endsAt);
  const worked = within.length > 0 ? within : from < until ? [{ startsAt: from, endsAt: until }] : [];
  return technicianIds.flatMap((technicianId) => worked.map((piece) => ({ technicianId, ...piece })));
}
