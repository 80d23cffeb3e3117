import { useMemo, type CSSProperties, type KeyboardEvent } from 'react';
import { BookingTile } from './booking-tile';
import type { Booking } from './booking-words';
import { periodOf, shareOf, type Axis, type Period } from './day-axis';
import type { DayColumn } from './day-columns';
import { useWords } from './diary-words';
import { lanesOf, type Lane } from './lanes';
import { MoveGhost } from './move-ghost';
import { nextSpot, type Direction } from './moves';
import type { Drag } from './use-drag';
import { isMovable, type Moving } from './use-move';
import styles from './day-grid.module.css';

interface DayGridProps {
  label: string;
  axis: Axis;
  columns: readonly DayColumn[];
  nowAt: number;
  conflicts: ReadonlySet<string>;
  withBay: boolean;
  moving: Moving;
  /** when the booking in hand would end */
  ghost: Period | null;
  drag: Drag | null;
  gridRef: React.RefObject<HTMLDivElement | null>;
  onOpen: (bookingId: string) => void;
  onMoveKey: (booking: Booking, columnId: string) => void;
}

const WHOLE: Lane = { lane: 0, lanes: 1 };

/** A day: bays or people beside each other, the hours downwards. */
export function DayGrid({ label, axis, columns, gridRef, ...rest }: DayGridProps) {
  const { clock } = useWords();
  const onArrow = arrowsAmong(columns);
  const scales = { '--columns': columns.length, '--hours': axis.hours.length } as CSSProperties;
  const now = shareOf({ startsAt: rest.nowAt, endsAt: rest.nowAt + 1 }, axis);
  return (
    <div className={`scroll ${styles.frame}`} tabIndex={0} role="region" aria-label={label}>
      <div className={styles.grid} style={scales} ref={gridRef}>
        <div className={styles.lines} aria-hidden="true">
          {axis.hours.map((at, index) => (
            <span key={at} style={{ top: percent(index / axis.hours.length) }}>
              {clock(at)}
            </span>
          ))}
          {now === null ? null : <i className={styles.now} style={{ top: percent(now.from) }} />}
        </div>
        {columns.map((column, index) => (
          <Column key={column.id} {...{ ...rest, axis, column, onArrow }} style={{ gridColumn: index + 2 }} />
        ))}
      </div>
    </div>
  );
}

interface ColumnProps extends Omit<DayGridProps, 'label' | 'columns' | 'gridRef'> {
  column: DayColumn;
  style: CSSProperties;
  onArrow: (event: KeyboardEvent, bookingId: string) => void;
}

function Column({ column, axis, style, nowAt, conflicts, moving, ghost, drag, ...does }: ColumnProps) {
  const { clock } = useWords();
  const { bookings, shut } = column;
  const lanes = useMemo(
    () => lanesOf(bookings.map((booking) => ({ id: booking.id, ...periodOf(booking) }))),
    [bookings],
  );
  const { move } = moving;
  return (
    <div role="group" aria-label={column.name} className={styles.column} style={style}>
      <div className={styles.head}>
        <h2>{column.name}</h2>
        <p className="small soft">{column.detail}</p>
      </div>
      <div className={styles.body} data-column={column.id}>
        {shut.map((each) => {
          const where = placed(each, axis);
          if (where === null) return null;
          return (
            <p key={`${each.startsAt} ${each.because}`} className={styles.shut} style={where}>
              <span>
                {each.because}
                <span className="unseen">
                  {' '}
                  {clock(each.startsAt)} to {clock(each.endsAt)}
                </span>
              </span>
            </p>
          );
        })}
        {bookings.map((booking) => {
          const stay = placed(
            { startsAt: Date.parse(booking.bayFromAt), endsAt: Date.parse(booking.bayUntilAt) },
            axis,
          );
          return stay === null ? null : (
            <i key={booking.id} className={styles.stay} style={stay} aria-hidden="true" />
          );
        })}
        {bookings.map((booking) => {
          const where = placed(periodOf(booking), axis, lanes.get(booking.id));
          if (where === null) return null;
          return (
            <BookingTile
              key={booking.id}
              {...{ booking, nowAt }}
              {...does}
              columnId={column.id}
              drag={isMovable(booking) ? drag : null}
              inConflict={conflicts.has(booking.id)}
              inHand={move?.booking.id === booking.id}
              style={where}
            />
          );
        })}
        {move?.columnId === column.id && ghost !== null ? (
          <MoveGhost
            {...{ move }}
            saving={moving.saving}
            style={placed(ghost, axis) ?? { display: 'none' }}
          />
        ) : null}
      </div>
    </div>
  );
}

// Arrow keys go from booking to booking.
function arrowsAmong(columns: readonly DayColumn[]): ColumnProps['onArrow'] {
  const spots = columns.flatMap(({ bookings }, row) =>
    bookings.map(({ id, startsAt }) => ({ id, row, startsAt: Date.parse(startsAt) })),
  );
  return (event, bookingId) => {
    const direction = event.key.replace('Arrow', '').toLowerCase() as Direction;
    const next = nextSpot(spots, bookingId, direction);
    if (next === null) return;
    event.preventDefault();
    const grid = event.currentTarget.closest<HTMLElement>('[role="region"]');
    grid?.querySelector<HTMLElement>(`[data-booking="${next}"]`)?.focus();
  };
}

function placed(period: Period, axis: Period, { lane, lanes }: Lane = WHOLE): CSSProperties | null {
  const share = shareOf(period, axis);
  if (share === null) return null;
  return {
    top: percent(share.from),
    height: percent(share.length),
    left: percent(lane / lanes),
    width: percent(1 / lanes),
  };
}

const percent = (share: number): string => `${share * 100}%`;
