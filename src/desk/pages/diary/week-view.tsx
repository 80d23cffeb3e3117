import { Waiting } from '../../design/page';
import { useReader } from '../../session/session';
import { dayText, weekText } from '../../format/days';
import { isGivenUp, stateAt, type Booking } from './booking-words';
import type { ViewProps } from './day-view';
import { weekAround } from './diary-address';
import { useNow } from './use-now';
import { WeekList } from './week-list';
import { WeekTable } from './week-table';

interface WeekViewProps extends ViewProps {
  addressOfDay: (on: string) => string;
}

const SECOND_MS = 1_000;
const HALF_MINUTE_MS = 30_000;

/** One week of a workshop, Monday to Sunday. */
export function WeekView({ workshop: { zone }, address, bookings, ...rest }: WeekViewProps) {
  const { locale } = useReader();
  const hasHolds = bookings.some(({ state }) => state === 'provisional');
  const nowAt = useNow(hasHolds ? SECOND_MS : HALF_MINUTE_MS);
  if (rest.waiting) return <Waiting what="the diary" />;
  const days = weekAround(address.on);
  const opening = new Map(rest.opening.map((day) => [day.on, day]));
  const standing = bookings.filter((booking) => !isGivenUp(stateAt(booking, nowAt)));
  // what is out of use is shown where something stands there
  const isShown =
    (stands: (booking: Booking, id: string) => boolean) =>
    ({ id, retiredOn }: { id: string; retiredOn: string | null }): boolean =>
      retiredOn === null || address.on < retiredOn || standing.some((booking) => stands(booking, id));
  const rows =
    address.by === 'bays'
      ? rest.bays.filter(isShown(({ bayId }, id) => bayId === id)).map(({ id, name, closures }) => ({
          id,
          name,
          away: closures,
          bookings: standing.filter(({ bayId }) => bayId === id),
        }))
      : rest.technicians
          .filter(isShown(({ technicianIds }, id) => technicianIds.includes(id)))
          .map(({ id, name, absences }) => ({
            id,
            name,
            away: absences,
            bookings: standing.filter(({ technicianIds }) => technicianIds.includes(id)),
          }));
  const label = `Week ${weekText(address.on)} by ${address.by === 'bays' ? 'bay' : 'person'}`;
  const { conflicts, onOpen, addressOfDay } = rest;
  return (
    <>
      <WeekTable
        withBay={address.by === 'people'}
        {...{ label, zone, days, opening, rows, nowAt, conflicts, onOpen, addressOfDay }}
      />
      <WeekList
        {...{ zone, opening, nowAt, conflicts, onOpen, addressOfDay }}
        bookings={standing}
        days={days.map((on) => ({ on, text: dayText(on, locale) }))}
      />
    </>
  );
}
