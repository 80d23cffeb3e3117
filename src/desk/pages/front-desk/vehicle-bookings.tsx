import { useQuery } from '@tanstack/react-query';
import { Button } from '../../design/button';
import { ProblemNotice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { BookingLink } from './diary-link';
import { openBookingsQuery, type Booking } from './front-desk-queries';
import styles from './front-desk.module.css';
import { stateWords } from './open-bookings';

interface VehicleBookingsProps {
  vehicleId: string;
  onTakeUp: (bookingId: string) => void;
}

/** What is booked for the vehicle already, so that nobody books it twice. */
export function VehicleBookings({ vehicleId, onTakeUp }: VehicleBookingsProps) {
  const { data: bookings, error } = useQuery(openBookingsQuery(vehicleId));
  return (
    <section className="sheet stack" aria-labelledby="bookings">
      <h2 id="bookings">Booked already</h2>
      <ProblemNotice error={error} />
      {bookings === undefined ? (
        error === null ? (
          <Waiting what="the bookings" />
        ) : null
      ) : bookings.length === 0 ? (
        <p className="soft">Nothing is booked for this vehicle.</p>
      ) : (
        <ul className={styles.bookings}>
          {bookings.map((booking) => (
            <BookingRow key={booking.id} booking={booking} onTakeUp={onTakeUp} />
          ))}
        </ul>
      )}
    </section>
  );
}

interface BookingRowProps {
  booking: Booking;
  onTakeUp: (bookingId: string) => void;
}

function BookingRow({ booking, onTakeUp }: BookingRowProps) {
  const titles = [...new Set([...booking.items, ...booking.extraWork].map(({ title }) => title))];
  return (
    <li>
      <p>
        <strong>{stateWords(booking.state)}</strong> <BookingLink booking={booking} />
      </p>
      <p className="small soft">{shortened(titles)}</p>
      {booking.state === 'provisional' ? (
        <Button onClick={() => onTakeUp(booking.id)}>Take up the held time</Button>
      ) : null}
    </li>
  );
}

function shortened([first, ...others]: string[]): string {
  if (first === undefined) return '';
  return others.length === 0 ? first : `${first} and ${others.length} more`;
}
