import { Link } from 'wouter';
import { TileText } from './booking-tile';
import type { Booking } from './booking-words';
import { dayPeriod, overlap, periodOf } from './day-axis';
import { hoursText } from './day-summary';
import type { OpenDay } from './diary-data';
import { useWords } from './diary-words';
import styles from './day-list.module.css';
import tileStyles from './booking-tile.module.css';

interface WeekListProps {
  days: readonly { on: string; text: string }[];
  zone: string;
  opening: ReadonlyMap<string, OpenDay>;
  bookings: readonly Booking[];
  nowAt: number;
  conflicts: ReadonlySet<string>;
  addressOfDay: (on: string) => string;
  onOpen: (bookingId: string) => void;
}

/** The same week for a narrow screen: day after day, each in the order of time. */
export function WeekList({
  days,
  zone,
  opening,
  bookings,
  nowAt,
  conflicts,
  addressOfDay,
  onOpen,
}: WeekListProps) {
  const words = useWords();
  return (
    <div className={`stack ${styles.list}`}>
      {days.map(({ on, text }) => {
        const ofDay = bookings.filter((booking) => overlap(periodOf(booking), dayPeriod(on, zone)));
        return (
          <section key={on} className="stack" aria-label={text}>
            <h2>
              <Link href={addressOfDay(on)}>{text}</Link>
            </h2>
            <p className="soft">
              {hoursText(opening.get(on), words)}
              {ofDay.length === 0 ? '; nothing is booked' : ''}
            </p>
            <ol className={styles.bookings}>
              {ofDay.map((booking) => (
                <li key={booking.id}>
                  <button
                    type="button"
                    className={`${tileStyles.tile} ${styles.tile}`}
                    data-booking={booking.id}
                    onClick={() => onOpen(booking.id)}
                  >
                    <TileText {...{ booking, nowAt }} withBay inConflict={conflicts.has(booking.id)} />
                  </button>
                </li>
              ))}
            </ol>
          </section>
        );
      })}
    </div>
  );
}
