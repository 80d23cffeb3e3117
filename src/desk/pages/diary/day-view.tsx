import { useRef } from 'react';
import { Notice } from '../../design/notice';
import { Waiting } from '../../design/page';
import { dayText } from '../../format/days';
import { useReader } from '../../session/session';
import { isGivenUp, stateAt, type Booking } from './booking-words';
import { axisOf, dayPeriod, periodOf } from './day-axis';
import { bayColumns, personColumns } from './day-columns';
import { DayGrid } from './day-grid';
import { DayList } from './day-list';
import { AbsentPeople, hoursText } from './day-summary';
import type { DiaryAddress } from './diary-address';
import type { Bay, OpenDay, Technician, Workshop } from './diary-data';
import { useWords } from './diary-words';
import { GivenUp } from './given-up';
import { HandBar } from './hand-bar';
import { outlookOf } from './in-hand';
import { useDrag } from './use-drag';
import type { Moving } from './use-move';
import { useNow } from './use-now';

export interface ViewProps {
  workshop: Workshop;
  address: DiaryAddress;
  opening: readonly OpenDay[];
  bays: readonly Bay[];
  technicians: readonly Technician[];
  bookings: readonly Booking[];
  waiting: boolean;
  conflicts: ReadonlySet<string>;
  onOpen: (bookingId: string) => void;
}

interface DayViewProps extends ViewProps {
  moving: Moving;
  mayMove: boolean;
  onMoveKey: (booking: Booking, columnId: string) => void;
  /** the booking in hand is held over another time */
  onHeld: (startsAt: number) => void;
}

const SECOND_MS = 1_000;
const HALF_MINUTE_MS = 30_000;

/** One day of a workshop. */
export function DayView({
  workshop,
  address,
  opening,
  bookings,
  moving,
  conflicts,
  onOpen,
  ...rest
}: DayViewProps) {
  const { zone } = workshop;
  const { on, by } = address;
  const { locale } = useReader();
  const words = useWords();
  const grid = useRef<HTMLDivElement>(null);
  const hasHolds = bookings.some(({ state }) => state === 'provisional');
  const nowAt = useNow(hasHolds ? SECOND_MS : HALF_MINUTE_MS);

  const openDay = opening.find((each) => each.on === on);
  const standing = bookings.filter((booking) => !isGivenUp(stateAt(booking, nowAt)));
  const { move } = moving;
  const open = opening.flatMap(({ windows }) => windows.map(periodOf));
  const axis = axisOf(on, zone, [
    ...(openDay?.windows.map(periodOf) ?? []),
    // a vehicle that stays overnight does not make the day longer
    ...standing.flatMap(({ pieces }) => pieces.map(periodOf)),
    // what is dragged stays on the paper
    ...(move === null || move.dragged ? [] : [{ startsAt: move.to.startsAt, endsAt: move.to.startsAt + 1 }]),
  ]);
  const day = { on, zone, axis, opening: openDay, bookings: standing };
  const columns = by === 'bays' ? bayColumns(rest.bays, day) : personColumns(rest.technicians, day);
  const outlook =
    move === null
      ? null
      : outlookOf(move.booking, move.to, {
          bookings: standing,
          open,
          shut: columns.find(({ id }) => id === move.columnId)?.shut ?? [],
          ...workshop,
        });
  const drag = useDrag(moving, by, axis, () => grid.current);
  const ranOut = bookings.filter(
    (booking) => booking.state === 'provisional' && stateAt(booking, nowAt) === 'lapsed',
  );
  const hours = hoursText(openDay, words);
  const label = `${dayText(on, locale)} by ${by === 'bays' ? 'bay' : 'person'}`;
  if (rest.waiting) return <Waiting what="the diary" />;
  return (
    <>
      <div>
        <p>{openDay?.windows.length === 0 ? `The workshop is ${hours}.` : `Open ${hours}`}</p>
        <AbsentPeople technicians={rest.technicians} day={dayPeriod(on, zone)} />
      </div>
      {columns.length === 0 ? (
        <Notice
          tone="info"
          title={`This workshop has no ${by === 'bays' ? 'bays' : 'people'} on this day.`}
        />
      ) : (
        <>
          <DayGrid
            {...{ label, axis, columns, nowAt, conflicts, moving, onOpen }}
            withBay={by === 'people'}
            ghost={outlook?.period ?? null}
            drag={rest.mayMove ? drag : null}
            gridRef={grid}
            onMoveKey={rest.onMoveKey}
          />
          <DayList {...{ by, columns, nowAt, conflicts, onOpen }} />
        </>
      )}
      <GivenUp
        bookings={bookings.filter((booking) => isGivenUp(stateAt(booking, nowAt)))}
        {...{ nowAt, onOpen }}
      />
      <p role="status" className="unseen">
        {ranOut.map((booking) => `The hold of ${words.mark(booking)} ran out. `)}
      </p>
      <HandBar {...{ moving, by, columns, outlook, bookings, zone }} onHeld={rest.onHeld} />
    </>
  );
}
