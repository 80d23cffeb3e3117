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
  const { nowAt, inConflict, inHand, onOpen, onMoveKey, onArrow } = rest;
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
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
      onClick={() => {
        if (drag?.wasDrag() !== true) onOpen(booking.id);
      }}
      onPointerDown={(event) => drag?.onPointerDown(event, booking, columnId)}
      onPointerMove={(event) => drag?.onPointerMove(event)}
      onPointerUp={() => drag?.onPointerUp()}
      onPointerCancel={() => drag?.onPointerCancel()}
    >
      <TileText {...{ booking, nowAt, inConflict }} />
    </button>
  );
}

/** What is said of a booking in the diary. */
export function TileText({
  booking,
  nowAt,
  inConflict,
}: Pick<BookingTileProps, 'booking' | 'nowAt' | 'inConflict'>) {
  const { clock, mark, people } = useWords();
  const [from, until] = [booking.startsAt, booking.endsAt].map((at) => clock(Date.parse(at)));
  return (
    <>
      <span className={styles.first}>
        <span className="digits">
          {from}–{until}
        </span>{' '}
        <strong className={styles.registration}>{mark(booking)}</strong>{' '}
        <BookingMark {...{ booking, nowAt, inConflict }} />
      </span>{' '}
      <span>{workText(booking)}</span> <span className="soft">{people(booking.technicianIds)}</span>
    </>
  );
}
