import type { Booking } from './booking-words';
import { clipped, MS_PER_MINUTE, periodOf, type Period } from './day-axis';
import { endOfWork, inTheWay } from './moves';
import type { ShutTime } from './shut-times';
import type { Place } from './use-move';

/** What the diary at hand says about a place; the workshop's own answer decides. */
export interface Outlook {
  /** when the work would begin and end */
  period: Period;
  /** the workshop is shut when it would begin */
  shut: boolean;
  /** other bookings that take the bay or one of the people then */
  taken: Booking[];
  /** closures and absences in the column it is held over */
  away: ShutTime[];
}

interface Around {
  bookings: readonly Booking[];
  /** when the workshop is open, in order */
  open: readonly Period[];
  /** closures, absences and shut hours of the column it is held over */
  shut: readonly ShutTime[];
  minutesBefore: number;
  minutesAfter: number;
}

export function outlookOf(booking: Booking, to: Place, around: Around): Outlook {
  const { bookings, open, shut, minutesBefore, minutesAfter } = around;
  const stands = periodOf(booking);
  const endsAt = endOfWork(to.startsAt, booking.workMinutes, open);
  const period = {
    startsAt: to.startsAt,
    endsAt: endsAt ?? to.startsAt + stands.endsAt - stands.startsAt,
  };
  const stay = {
    startsAt: period.startsAt - minutesBefore * MS_PER_MINUTE,
    endsAt: period.endsAt + minutesAfter * MS_PER_MINUTE,
  };
  const others = bookings.filter(({ id }) => id !== booking.id);
  const inBay = others
    .filter(({ bayId }) => bayId === to.bayId)
    .filter(
      ({ bayFromAt, bayUntilAt }) =>
        clipped({ startsAt: Date.parse(bayFromAt), endsAt: Date.parse(bayUntilAt) }, stay) !== null,
    );
  const ofPeople = others.filter(
    ({ technicianIds, pieces }) =>
      technicianIds.some((id) => to.technicianIds.includes(id)) &&
      inTheWay(period, pieces.map(periodOf)).length > 0,
  );
  return {
    period,
    shut: open.length > 0 && endsAt === null,
    taken: [...new Set([...inBay, ...ofPeople])],
    // work rests over the shut hours; only what begins in them cannot be done
    away: endsAt === null ? [] : inTheWay({ ...period, endsAt: period.startsAt + 1 }, shut),
  };
}
