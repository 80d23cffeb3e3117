import { DateTime } from 'luxon';
import { createContext, useContext } from 'react';
import { timeText } from '../../format/days';
import { useReader } from '../../session/session';
import type { Booking } from './booking-words';
import type { Bay, Technician, Workshop } from './diary-data';

/** How the diary of one workshop calls things, on that workshop's clock. */
export interface DiaryWords {
  clock: (at: number) => string;
  /** when work begins and ends; such as `15:15–Wed 09:15` where that is another day */
  spanText: (period: { startsAt: string; endsAt: string }) => string;
  mark: (booking: Booking) => string;
  people: (technicianIds: readonly string[]) => string;
  bay: (bayId: string) => string;
}

export const WordsContext = createContext<DiaryWords | null>(null);

/** Only within a diary. */
export function useWords(): DiaryWords {
  const words = useContext(WordsContext);
  if (words === null) throw new Error('no diary is open here');
  return words;
}

export function useWordsOf(
  { zone }: Workshop,
  bays: readonly Bay[],
  technicians: readonly Technician[],
  marks: ReadonlyMap<string, string>,
): DiaryWords {
  const { locale } = useReader();
  const nameIn = (named: readonly { id: string; name: string }[], id: string, otherwise: string): string =>
    named.find((each) => each.id === id)?.name ?? otherwise;
  const clock = (at: number): string => timeText(new Date(at).toISOString(), zone, locale);
  return {
    clock,
    spanText: ({ startsAt, endsAt }) => {
      const end = DateTime.fromISO(endsAt, { zone, locale });
      const sameDay = DateTime.fromISO(startsAt, { zone }).hasSame(end, 'day');
      return `${clock(Date.parse(startsAt))}–${sameDay ? '' : `${end.toFormat('ccc')} `}${clock(end.toMillis())}`;
    },
    mark: ({ vehicleId }) => marks.get(vehicleId) ?? '…',
    people: (ids) => ids.map((id) => nameIn(technicians, id, 'somebody who left')).join(', '),
    bay: (id) => nameIn(bays, id, 'a bay no longer used'),
  };
}
