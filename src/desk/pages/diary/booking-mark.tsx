import { StateMark } from '../../design/state-mark';
import { holdText, stateAt, stateWord, type Booking, type BookingState } from './booking-words';
import styles from './booking-mark.module.css';

// a ring that fills as the vehicle goes through the workshop; dashed while nothing is firm, crossed when it is over
const FILLED: Partial<Record<BookingState, string>> = {
  arrived: 'M8 2a6 6 0 0 1 6 6H8Z',
  'in-work': 'M8 2a6 6 0 0 1 0 12Z',
  finished: 'M8 2a6 6 0 1 1 0 12a6 6 0 0 1 0-12Z',
  collected: 'M8 2a6 6 0 1 1 0 12a6 6 0 0 1 0-12Z',
};
const CROSSED: readonly BookingState[] = ['cancelled', 'missed', 'lapsed'];

interface BookingMarkProps {
  booking: Booking;
  nowAt: number;
  /** it could not be made any more */
  inConflict?: boolean;
}

/** The state of a booking as a shape and in words, with the time that a hold has left. */
export function BookingMark({ booking, nowAt, inConflict = false }: BookingMarkProps) {
  const state = stateAt(booking, nowAt);
  const filled = FILLED[state];
  return (
    <span className={styles.marks}>
      <span className={styles.mark} data-state={state}>
        <svg viewBox="0 0 16 16" aria-hidden="true">
          <circle cx="8" cy="8" r="6.2" />
          {filled === undefined ? null : <path className={styles.filled} d={filled} />}
          {CROSSED.includes(state) ? <path d="M4 4l8 8M12 4l-8 8" /> : null}
        </svg>
        {stateWord(state)}
        {state === 'provisional' && booking.provisionalUntil !== null
          ? `, ${holdText(booking.provisionalUntil, nowAt)}`
          : null}
      </span>
      {inConflict ? <StateMark tone="warn">to be moved</StateMark> : null}
    </span>
  );
}
