import { Link } from 'wouter';
import { localDateAt } from '../../../core/shared/calendar-date';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import { TileText } from './booking-tile';
import type { Booking } from './booking-words';
import { clipped, dayPeriod, overlap, periodOf } from './day-axis';
import { hoursText } from './day-summary';
import type { OpenDay } from './diary-data';
import { useWords } from './diary-words';
import styles from './week-table.module.css';
import tileStyles from './booking-tile.module.css';

interface WeekTableProps {
  label: string;
  zone: string;
  /** Monday to Sunday */
  days: readonly string[];
  opening: ReadonlyMap<string, OpenDay>;
  rows: readonly { id: string; name: string; bookings: readonly Booking[]; away: readonly AwayTime[] }[];
  nowAt: number;
  withBay: boolean;
  conflicts: ReadonlySet<string>;
  addressOfDay: (on: string) => string;
  onOpen: (bookingId: string) => void;
}

export interface AwayTime {
  startsAt: string;
  endsAt: string;
  reason?: string | null;
}

/** A week: the days beside each other, a line for each bay or person. A booking stands on every day that it takes. */
export function WeekTable({ label, zone, days, opening, rows, ...rest }: WeekTableProps) {
  const { locale } = useReader();
  const words = useWords();
  const today = localDateAt(rest.nowAt, zone);
  return (
    <div className={`scroll ${styles.frame}`} tabIndex={0} role="region" aria-label={label}>
      <table className={styles.table}>
        <caption className="unseen">{label}</caption>
        <thead>
          <tr>
            <td />
            {days.map((on) => (
              <th key={on} scope="col" aria-current={on === today ? 'date' : undefined}>
                <Link href={rest.addressOfDay(on)}>{dayText(on, locale)}</Link>
                <div className={styles.hours}>{hoursText(opening.get(on), words)}</div>
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.id}>
              <th scope="row">{row.name}</th>
              {days.map((on) => (
                <WeekCell key={on} {...{ row, zone, on }} {...rest} />
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

interface WeekCellProps extends Pick<WeekTableProps, 'zone' | 'nowAt' | 'withBay' | 'conflicts' | 'onOpen'> {
  row: WeekTableProps['rows'][number];
  on: string;
}

function WeekCell({ row: { bookings, away }, zone, on, nowAt, withBay, conflicts, onOpen }: WeekCellProps) {
  const { clock } = useWords();
  const day = dayPeriod(on, zone);
  return (
    <td>
      {away.map(({ reason, ...times }) => {
        const seen = clipped(periodOf(times), day);
        if (seen === null) return null;
        const isWhole = seen.startsAt === day.startsAt && seen.endsAt === day.endsAt;
        return (
          <p key={times.startsAt} className={styles.away}>
            {reason ?? 'Not there'}
            {isWhole ? '' : `, ${clock(seen.startsAt)}–${clock(seen.endsAt)}`}
          </p>
        );
      })}
      <ol className={styles.bookings}>
        {bookings
          .filter((booking) => overlap(periodOf(booking), day))
          .map((booking) => (
            <li key={booking.id}>
              <button
                type="button"
                className={`${tileStyles.tile} ${styles.tile}`}
                data-booking={booking.id}
                onClick={() => onOpen(booking.id)}
              >
                <TileText {...{ booking, nowAt, withBay }} inConflict={conflicts.has(booking.id)} />
              </button>
            </li>
          ))}
      </ol>
    </td>
  );
}
