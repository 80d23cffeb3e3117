import { BookingMark } from './booking-mark';
import type { Booking } from './booking-words';
import { Button } from '../../design/button';
import { useWords } from './diary-words';

interface GivenUpProps {
  bookings: readonly Booking[];
  nowAt: number;
  onOpen: (bookingId: string) => void;
}

/** Bookings that take no time any more: cancelled, missed, or holds that ran out. */
export function GivenUp({ bookings, nowAt, onOpen }: GivenUpProps) {
  const { clock, mark } = useWords();
  if (bookings.length === 0) return null;
  return (
    <section className="screen-only" aria-label="Given up">
      <h2>Given up</h2>
      <ul>
        {bookings.map((booking) => (
          <li key={booking.id}>
            <Button kind="quiet" data-booking={booking.id} onClick={() => onOpen(booking.id)}>
              {`${clock(Date.parse(booking.startsAt))} ${mark(booking)}`}
            </Button>{' '}
            <BookingMark booking={booking} nowAt={nowAt} />
            {booking.closedReason === null ? null : ` (${booking.closedReason})`}
          </li>
        ))}
      </ul>
    </section>
  );
}
