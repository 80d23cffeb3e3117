import { useMemo, useState } from 'react';
import { useSearchParams } from 'wouter';
import { localDateAt } from '../../../core/shared/calendar-date';
import { Button } from '../../design/button';
import { Page } from '../../design/page';
import { ProblemNotice } from '../../design/notice';
import { dayText, todayOn, weekText } from '../../format/days';
import { useHasRole, useReader } from '../../session/session';
import { BookingDialog } from './booking-dialog';
import { BOOKERS } from './booking-steps';
import type { Booking } from './booking-words';
import { addressOf, searchOf, turned, type DiaryAddress } from './diary-address';
import { useBookings, useConflicts, useMarks, useOpening, useResources, type Workshop } from './diary-data';
import { DiaryTools } from './diary-tools';
import { useWordsOf, WordsContext } from './diary-words';
import { ConflictNotice } from './day-summary';
import { DayView } from './day-view';
import { KeysDialog } from './keys-dialog';
import { useSingleKeys } from './shortcuts';
import { useFocusBack } from './use-focus-back';
import { isMovable, useMove } from './use-move';
import { WeekView } from './week-view';
import styles from './diary.module.css';

interface DiaryProps {
  workshop: Workshop;
  workshops: readonly Workshop[];
  onWorkshop: (workshopId: string) => void;
}

const NOTHING: never[] = [];

/** The diary of one workshop. */
export function Diary({ workshop, workshops, onWorkshop }: DiaryProps) {
  const { id: workshopId, zone } = workshop;
  const { locale } = useReader();
  const [search, setSearch] = useSearchParams();
  const today = todayOn(zone);
  const address = addressOf(search, today);
  const go = (change: Partial<DiaryAddress>, replace = false): void =>
    setSearch(searchOf({ ...address, ...change }, today), { replace });

  const { bays, technicians } = useResources(workshopId);
  const opening = useOpening(workshopId, address.on);
  const bookings = useBookings(workshop, address);
  const conflicts = useConflicts(workshopId).data?.items ?? NOTHING;
  const shown = bookings.data ?? NOTHING;
  const marks = useMarks(
    [...shown, ...conflicts.map(({ booking }) => booking)].map(({ vehicleId }) => vehicleId),
  );
  const words = useWordsOf(workshop, bays.data ?? NOTHING, technicians.data ?? NOTHING, marks);

  const [said, setSaid] = useState('');
  const [keysShown, setKeysShown] = useState(false);
  const mayMove = useHasRole(...BOOKERS);
  const focusBack = useFocusBack();
  const dayOf = (startsAt: number | string): string => localDateAt(new Date(startsAt).getTime(), zone);
  const moving = useMove((booking, outcome) => {
    // what was given up or refused is shown where it stands
    const on = dayOf(booking.startsAt);
    if (on !== address.on) go({ on }, true);
    focusBack(booking.id);
    const place = `${dayText(on, locale)}, ${words.clock(Date.parse(booking.startsAt))}, ${words.bay(booking.bayId)}, ${words.people(booking.technicianIds)}`;
    if (outcome === 'moved') setSaid(`${words.mark(booking)} stands at ${place} now.`);
    if (outcome === 'given-up') setSaid(`${words.mark(booking)} stands where it was: ${place}.`);
    if (outcome === 'refused') setSaid('');
  });
  const beginMove = (booking: Booking, columnId: string): void => {
    go({ view: 'day', on: dayOf(booking.startsAt), bookingId: null }, true);
    moving.begin(booking, columnId, false);
  };
  const turn = (change: Partial<DiaryAddress>): void => {
    moving.drop();
    go(change);
  };
  const open = (bookingId: string): void => go({ bookingId });
  const opened = shown.find(({ id }) => id === address.bookingId);

  useSingleKeys({
    p: () => turn({ on: turned(address, -1) }),
    n: () => turn({ on: turned(address, 1) }),
    t: () => turn({ on: today }),
    d: () => turn({ view: 'day' }),
    w: () => turn({ view: 'week' }),
    b: () => turn({ by: address.by === 'bays' ? 'people' : 'bays' }),
    '?': () => setKeysShown(true),
  });

  const inConflict = useMemo(() => new Set(conflicts.map(({ booking }) => booking.id)), [conflicts]);
  const shared = {
    workshop,
    address,
    opening: opening.data?.days ?? NOTHING,
    bays: bays.data ?? NOTHING,
    technicians: technicians.data ?? NOTHING,
    bookings: shown,
    waiting: bookings.isPending || bays.isPending || technicians.isPending,
    conflicts: inConflict,
    onOpen: open,
  };
  return (
    <WordsContext value={words}>
      <div className={styles.paper}>
        <Page
          title={`Diary of ${workshop.name}`}
          tools={
            <>
              <Button onClick={() => window.print()}>Print</Button>
              <Button keys="?" onClick={() => setKeysShown(true)}>
                Keys
              </Button>
            </>
          }
          lead={`${dayText(address.on, locale)}, week ${weekText(address.on)}`}
        >
          <DiaryTools {...{ workshops, workshopId, address, today, onWorkshop }} go={turn} />
          <ProblemNotice error={bookings.error ?? bays.error ?? technicians.error ?? opening.error} />
          <ConflictNotice
            {...{ conflicts }}
            onOpen={open}
            dayOf={({ startsAt }) => dayText(dayOf(startsAt), locale)}
          />
          {address.view === 'week' ? (
            <WeekView
              {...shared}
              addressOfDay={(on) =>
                `/diary/${workshopId}?${searchOf({ ...address, on, view: 'day' }, today).toString()}`
              }
            />
          ) : (
            <DayView
              {...shared}
              {...{ moving, mayMove }}
              onMoveKey={beginMove}
              onHeld={(startsAt) => {
                if (dayOf(startsAt) !== address.on) go({ on: dayOf(startsAt) }, true);
              }}
            />
          )}
          <p role="status" className="unseen">
            {said}
          </p>
        </Page>
      </div>
      {address.bookingId === null ? null : (
        <BookingDialog
          bookingId={address.bookingId}
          known={opened}
          workshop={workshop}
          because={conflicts.find(({ booking }) => booking.id === address.bookingId)?.because ?? NOTHING}
          onMove={
            mayMove && opened !== undefined && isMovable(opened)
              ? (booking) => beginMove(booking, columnOf(booking, address.by))
              : null
          }
          onSaid={setSaid}
          onClose={() => {
            if (address.bookingId !== null) focusBack(address.bookingId);
            go({ bookingId: null }, true);
          }}
        />
      )}
      {keysShown ? <KeysDialog onClose={() => setKeysShown(false)} /> : null}
    </WordsContext>
  );
}

const columnOf = ({ bayId, technicianIds }: Booking, by: DiaryAddress['by']): string =>
  by === 'bays' ? bayId : (technicianIds[0] ?? '');
