import type { Schemas } from '../../api/client';

type State = Schemas['BookingDto']['state'];

const STATE_WORDS: Record<State, string> = {
  provisional: 'Held for a caller',
  confirmed: 'Booked',
  arrived: 'Vehicle is here',
  'in-work': 'In work',
  finished: 'Finished, not collected',
  collected: 'Collected',
  cancelled: 'Cancelled',
  missed: 'Missed',
  lapsed: 'Held too long, given up',
};

const OPEN: readonly State[] = ['provisional', 'confirmed', 'arrived', 'in-work', 'finished'];

/** What a front desk calls the state of a booking. */
export const stateWords = (state: State): string => STATE_WORDS[state];

/** Whether a caller would want to hear of it: it is to come, or the vehicle is there because of it. */
export const isOpen = ({ state }: { state: State }): boolean => OPEN.includes(state);
