import { createContext, useContext } from 'react';
import { timeText } from '../../format/days';
import { useReader } from '../../session/session';
import type { Booking } from './booking-words';
import type { Bay, Technician, Workshop } from './diary-data';

/** How the diary of one workshop calls things, on that workshop's clock. */
export interface DiaryWords {
  clock: (at: number) => string;
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
  return {
    clock: (at) => timeText(new Date(at).toISOString(), zone, locale),
    mark: ({ vehicleId }) => marks.get(vehicleId) ?? '…',
    people: (ids) => ids.map((id) => nameIn(technicians, id, 'somebody who left')).join(', '),
    bay: (id) => nameIn(bays, id, 'a bay no longer used'),
  };
}
