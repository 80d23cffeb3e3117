import type { Slot } from '../../core/working-time/workshop';
import type { Booking } from './booking.entity';

const MS_PER_MINUTE = 60_000;

type BookedTimes = Pick<
  Booking,
  | 'bayId'
  | 'technicianIds'
  | 'startsAt'
  | 'endsAt'
  | 'bayFromAt'
  | 'bayUntilAt'
  | 'pieces'
  | 'minutesBefore'
  | 'minutesAfter'
>;

/** Bay, people and times of a booking that takes a slot. */
export function bookedTimes(slot: Slot): BookedTimes {
  return {
    bayId: slot.bayId,
    technicianIds: [...slot.technicianIds],
    startsAt: new Date(slot.startsAt),
    endsAt: new Date(slot.endsAt),
    bayFromAt: new Date(slot.bayFromAt),
    bayUntilAt: new Date(slot.bayUntilAt),
    pieces: slot.pieces.map(({ startsAt, endsAt }) => ({
      startsAt: new Date(startsAt).toISOString(),
      endsAt: new Date(endsAt).toISOString(),
    })),
    minutesBefore: Math.round((slot.startsAt - slot.bayFromAt) / MS_PER_MINUTE),
    minutesAfter: Math.round((slot.bayUntilAt - slot.endsAt) / MS_PER_MINUTE),
  };
}
