import type { CSSProperties, KeyboardEvent } from 'react';
import { BookingMark } from './booking-mark';
import { workText, type Booking } from './booking-words';
import { useWords } from './diary-words';
import type { Drag } from './use-drag';
import styles from './booking-tile.module.css';

interface BookingTileProps {
  booking: Booking;
  columnId: string;
  nowAt: number;
  inConflict: boolean;
  /** the bay is said, too */
  withBay: boolean;
  /** somebody has it in hand, or it is being kept */
  inHand: boolean;
  /** what is done with it; null where the one who looks may only look */
  drag: Drag | null;
  style: CSSProperties;
  onOpen: (bookingId: string) => void;
  onMoveKey: (booking: Booking, columnId: string) => void;
  onArrow: (event: KeyboardEvent, bookingId: string) => void;
}

/** A booking where it stands in its column. */
export function BookingTile({ booking, columnId, drag, style, ...rest }: BookingTileProps) {
  const { nowAt, inConflict, withBay, inHand, onOpen, onMoveKey, onArrow } = rest;
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    // the Enter that kept a move may still be held down
    if (event.repeat && event.key === 'Enter') event.preventDefault();
    if (event.key.startsWith('Arrow')) {
      onArrow(event, booking.id);
      return;
    }
    if (event.key.toLowerCase() !== 'm' || drag === null) return;
    event.preventDefault();
    onMoveKey(booking, columnId);
  };
  return (
    <button
      type="button"
      className={`${styles.tile} ${styles.standing} ${inHand ? styles.left : ''}`}
      style={style}
      data-booking={booking.id}
      aria-keyshortcuts={drag === null ? undefined : 'M'}
      onKeyDown={onKeyDown}
      onClick={({ detail: presses }) => {
        // none where the click comes from the keyboard
        if (presses === 0 || drag?.wasDrag() !== true) onOpen(booking.id);
      }}
      onPointerDown={(event) => drag?.onPointerDown(event, booking, columnId)}
      onPointerMove={(event) => drag?.onPointerMove(event)}
      onPointerUp={() => drag?.onPointerUp()}
      onPointerCancel={() => drag?.onPointerCancel()}
    >
      <TileText {...{ booking, nowAt, inConflict, withBay }} />
    </button>
  );
}

/** What is said of a booking in the diary. */
export function TileText({
  booking,
  nowAt,
  inConflict,
  withBay,
}: Pick<BookingTileProps, 'booking' | 'nowAt' | 'inConflict' | 'withBay'>) {
  const { spanText, mark, people, bay } = useWords();
  return (
    <>
      <span className={styles.first}>
        <span className="digits">{spanText(booking)}</span>{' '}
        <strong className={styles.registration}>{mark(booking)}</strong>{' '}
      </span>{' '}
      <span className={styles.first}>
        <BookingMark {...{ booking, nowAt, inConflict }} /> <span>{people(booking.technicianIds)}</span>
        {withBay ? <span>{bay(booking.bayId)}</span> : null}
      </span>{' '}
      <span>{workText(booking)}</span>
    </>
  );
}
