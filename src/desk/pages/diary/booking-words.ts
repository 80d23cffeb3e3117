import { minutesText } from '../../format/days';
import type { Schemas } from '../../api/client';

export type Booking = Schemas['BookingDto'];
export type BookingState = Booking['state'];
export type BookingStep = Booking['nextSteps'][number];

const STATE_WORDS: Record<BookingState, string> = {
  provisional: 'Held',
  confirmed: 'Confirmed',
  arrived: 'Arrived',
  'in-work': 'In work',
  finished: 'Finished',
  collected: 'Collected',
  cancelled: 'Cancelled',
  missed: 'Did not come',
  lapsed: 'Hold ran out',
};

/** States in which a booking takes no time any more. */
const GIVEN_UP: readonly BookingState[] = ['cancelled', 'missed', 'lapsed'];

const MS_PER_SECOND = 1_000;
const MS_PER_MINUTE = 60_000;

export const stateWord = (state: BookingState): string => STATE_WORDS[state];

/** A hold that has run out is given up, whether or not the answer at hand says so yet. */
export function stateAt({ state, provisionalUntil }: Booking, nowAt: number): BookingState {
  const ranOut =
    state === 'provisional' && provisionalUntil !== null && Date.parse(provisionalUntil) <= nowAt;
  return ranOut ? 'lapsed' : state;
}

export const isGivenUp = (state: BookingState): boolean => GIVEN_UP.includes(state);

/** The work in one line, such as `Fluid change, Filter cleaned and 2 more`. */
export function workText({ items, extraWork }: Pick<Booking, 'items' | 'extraWork'>, most = 3): string {
  const titles = [...items, ...extraWork].map(({ title }) => title);
  const more = titles.length - most;
  const named = titles.slice(0, more > 0 ? most : titles.length).join(', ');
  return more > 0 ? `${named} and ${more} more` : named;
}

/** How long a hold still counts: minutes, in the last two of them seconds. */
export function holdText(provisionalUntil: string, nowAt: number): string {
  const leftMs = Date.parse(provisionalUntil) - nowAt;
  if (leftMs <= 0) return 'hold ran out';
  if (leftMs < 2 * MS_PER_MINUTE) return `${Math.ceil(leftMs / MS_PER_SECOND)} s left`;
  return `${minutesText(Math.floor(leftMs / MS_PER_MINUTE))} left`;
}

/** Replaces the booking in a list, or puts it in; the list stays in order of start. */
export function withBooking(bookings: readonly Booking[], booking: Booking): Booking[] {
  return [...bookings.filter(({ id }) => id !== booking.id), booking].sort(
    (a, b) => Date.parse(a.startsAt) - Date.parse(b.startsAt) || (a.id < b.id ? -1 : 1),
  );
}
