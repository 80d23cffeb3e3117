import { useState } from 'react';
import { SelectField } from '../../design/field';
import { TileText } from './booking-tile';
import type { Booking } from './booking-words';
import type { DayColumn } from './day-columns';
import { useWords } from './diary-words';
import styles from './day-list.module.css';
import tileStyles from './booking-tile.module.css';

interface DayListProps {
  by: 'bays' | 'people';
  columns: readonly DayColumn[];
  nowAt: number;
  conflicts: ReadonlySet<string>;
  onOpen: (bookingId: string) => void;
}

/** The same day for a narrow screen: everything in the order of time, of all bays or people or of one. */
export function DayList({ by, columns, nowAt, conflicts, onOpen }: DayListProps) {
  const { clock } = useWords();
  const [chosenId, setChosenId] = useState('');
  const chosen = columns.find(({ id }) => id === chosenId);
  const shown = chosen === undefined ? columns : [chosen];
  const bookings = inOrder(shown);
  return (
    <div className={`stack ${styles.list}`}>
      <SelectField
        label={by === 'bays' ? 'Bay' : 'Person'}
        value={chosen?.id ?? ''}
        onChange={(event) => setChosenId(event.target.value)}
      >
        <option value="">All</option>
        {columns.map(({ id, name }) => (
          <option key={id} value={id}>
            {name}
          </option>
        ))}
      </SelectField>
      {chosen === undefined || chosen.shut.length === 0 ? null : (
        <ul>
          {chosen.shut.map(({ startsAt, endsAt, because }) => (
            <li key={`${startsAt} ${because}`}>
              <span className="digits">
                {clock(startsAt)}–{clock(endsAt)}
              </span>{' '}
              {because}
            </li>
          ))}
        </ul>
      )}
      {bookings.length === 0 ? <p className="soft">Nothing is booked.</p> : null}
      <ol className={styles.bookings}>
        {bookings.map((booking) => (
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
    </div>
  );
}

function inOrder(columns: readonly DayColumn[]): Booking[] {
  const found = columns.flatMap(({ bookings }) => bookings);
  const each = [...new Map(found.map((booking) => [booking.id, booking])).values()];
  return each.sort((a, b) => Date.parse(a.startsAt) - Date.parse(b.startsAt));
}
