import {
  BOOKING_STATES,
  BOOKING_STEPS,
  changeableIn,
  stateAfter,
  statesBefore,
  stepsFrom,
  type BookingState,
} from '../../../src/core/booking/booking-state';

// the life of a booking, as a front desk would draw it
test.each<[BookingState, string[]]>([
  ['provisional', ['confirm > confirmed', 'cancel > cancelled']],
  ['confirmed', ['arrive > arrived', 'cancel > cancelled', 'miss > missed']],
  ['arrived', ['start > in-work', 'cancel > cancelled']],
  ['in-work', ['finish > finished']],
  ['finished', ['collect > collected']],
  ['collected', []],
  ['cancelled', []],
  ['missed', []],
  ['lapsed', []],
])('from %s', (state, expected) => {
  expect(stepsFrom(state).map((step) => `${step} > ${stateAfter(state, step) ?? ''}`)).toEqual(expected);
});

test('a step says from where it can be taken, and nothing comes back to where it was', () => {
  for (const step of BOOKING_STEPS)
    expect(BOOKING_STATES.filter((state) => stateAfter(state, step) !== null)).toEqual(
      BOOKING_STATES.filter((state) => statesBefore(step).includes(state)),
    );
  const seen = new Set<BookingState>();
  const walk = (state: BookingState, passed: readonly BookingState[]): void => {
    expect(passed).not.toContain(state);
    seen.add(state);
    for (const step of stepsFrom(state)) walk(stateAfter(state, step) as BookingState, [...passed, state]);
  };
  walk('provisional', []);
  // a provisional booking lapses by itself, without a step
  expect([...seen, 'lapsed'].sort()).toEqual([...BOOKING_STATES].sort());
});

test('what has not arrived can be changed in everything, what is over in nothing', () => {
  for (const state of BOOKING_STATES) {
    const isOver = stepsFrom(state).length === 0 || state === 'finished';
    expect(changeableIn(state) === null).toBe(isOver);
  }
  expect(BOOKING_STATES.filter((state) => changeableIn(state) === 'everything')).toEqual([
    'provisional',
    'confirmed',
  ]);
});
