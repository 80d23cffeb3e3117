/**
 * Where a booking stands. `provisional` is held for a caller until it lapses; `confirmed` is firm; then the
 * vehicle has `arrived`, is `in-work`, is `finished` and is `collected`. `cancelled`, `missed` (it never came) and
 * `lapsed` (a provisional one that nobody confirmed) take no time in the diary.
 */
export const BOOKING_STATES = [
  'provisional',
  'confirmed',
  'arrived',
  'in-work',
  'finished',
  'collected',
  'cancelled',
  'missed',
  'lapsed',
] as const;

export type BookingState = (typeof BOOKING_STATES)[number];

/** What people do with a booking; `finish` comes with the completion of its job sheet. */
export const BOOKING_STEPS = ['confirm', 'arrive', 'start', 'finish', 'collect', 'cancel', 'miss'] as const;

export type BookingStep = (typeof BOOKING_STEPS)[number];

const STEPS: Readonly<Record<BookingStep, { from: readonly BookingState[]; to: BookingState }>> = {
  confirm: { from: ['provisional'], to: 'confirmed' },
  arrive: { from: ['confirmed'], to: 'arrived' },
  start: { from: ['arrived'], to: 'in-work' },
  finish: { from: ['in-work'], to: 'finished' },
  collect: { from: ['finished'], to: 'collected' },
  cancel: { from: ['provisional', 'confirmed', 'arrived'], to: 'cancelled' },
  miss: { from: ['confirmed'], to: 'missed' },
};

/** What a booking can be changed in; null: it is over, or on its way out. */
export type BookingChange = 'everything' | 'the-end-and-who-does-it';

/** The state after a step; null where the step cannot be taken. */
export function stateAfter(state: BookingState, step: BookingStep): BookingState | null {
  const { from, to } = STEPS[step];
  return from.includes(state) ? to : null;
}

/** The states from which a step can be taken. */
export function statesBefore(step: BookingStep): readonly BookingState[] {
  return STEPS[step].from;
}

/** The steps that can be taken from a state, in the order of `BOOKING_STEPS`. */
export function stepsFrom(state: BookingState): BookingStep[] {
  return BOOKING_STEPS.filter((step) => stateAfter(state, step) !== null);
}

/** What may still be changed: a vehicle that has arrived cannot be booked for another day any more. */
export function changeableIn(state: BookingState): BookingChange | null {
  switch (state) {
    case 'provisional':
    case 'confirmed':
      return 'everything';
    case 'arrived':
    case 'in-work':
      return 'the-end-and-who-does-it';
    case 'finished':
    case 'collected':
    case 'cancelled':
    case 'missed':
    case 'lapsed':
      return null;
  }
}
