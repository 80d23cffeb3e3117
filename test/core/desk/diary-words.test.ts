import {
  holdText,
  isGivenUp,
  stateAt,
  withBooking,
  workText,
  type Booking,
} from '../../../src/desk/pages/diary/booking-words';
import { addressOf, searchOf, turned, weekAround } from '../../../src/desk/pages/diary/diary-address';

const TODAY = '2026-11-25';
const at = (text: string): number => Date.parse(text);

describe('a hold', () => {
  const until = '2026-12-01T10:00:00Z';

  it.each([
    ['2026-12-01T08:30:00Z', '1 h 30 min left'],
    ['2026-12-01T09:57:30Z', '2 min left'],
    ['2026-12-01T09:58:30Z', '90 s left'],
    ['2026-12-01T10:00:00Z', 'hold ran out'],
  ])('says at %s: %s', (now, text) => {
    expect(holdText(until, at(now))).toBe(text);
  });

  it('takes no time any more once it has run out', () => {
    const held = { state: 'provisional', provisionalUntil: until } as Booking;
    expect(stateAt(held, at('2026-12-01T09:59:59Z'))).toBe('provisional');
    expect(stateAt(held, at(until))).toBe('lapsed');
    expect(isGivenUp('lapsed')).toBe(true);
    const confirmed = { state: 'confirmed', provisionalUntil: until } as Booking;
    expect(stateAt(confirmed, at(until))).toBe('confirmed');
  });
});

it('says the work in one line', () => {
  const titled = (...titles: string[]) => titles.map((title) => ({ title }));
  const work = { items: titled('A', 'B'), extraWork: titled('C', 'D') } as Pick<
    Booking,
    'items' | 'extraWork'
  >;
  expect([workText(work), workText(work, 4), workText(work, 1)]).toEqual([
    'A, B, C and 1 more',
    'A, B, C, D',
    'A and 3 more',
  ]);
});

it('puts a booking into its place by start', () => {
  const booking = (id: string, startsAt: string) => ({ id, startsAt }) as Booking;
  const [a, b] = [booking('a', '2026-12-01T08:00:00Z'), booking('b', '2026-12-01T10:00:00Z')];
  const moved = booking('a', '2026-12-01T12:00:00Z');
  expect(withBooking([a, b], moved)).toEqual([b, moved]);
});

describe('the address', () => {
  it('says what is shown, and leaves out what goes without saying', () => {
    const said = { on: '2026-12-01', view: 'week', by: 'people', bookingId: 'x' } as const;
    expect(addressOf(searchOf(said, TODAY), TODAY)).toEqual(said);
    const plain = { on: TODAY, view: 'day', by: 'bays', bookingId: null } as const;
    expect(searchOf(plain, TODAY).toString()).toBe('');
    expect(addressOf(new URLSearchParams('date=2026-02-30&view=year&by=fleet'), TODAY)).toEqual(plain);
  });

  it('turns by a day or by a week', () => {
    expect(turned({ on: '2026-12-31', view: 'day', by: 'bays', bookingId: null }, 1)).toBe('2027-01-01');
    expect(turned({ on: '2026-12-31', view: 'week', by: 'bays', bookingId: null }, -1)).toBe('2026-12-24');
  });

  // ISO 8601: weeks begin on Monday; 1 January 2027 is in the week of Monday 28 December 2026
  it('counts weeks from Monday', () => {
    const week = weekAround('2027-01-01');
    expect([week[0], week.at(-1), week.length]).toEqual(['2026-12-28', '2027-01-03', 7]);
    expect(weekAround('2026-12-28')[0]).toBe('2026-12-28');
  });
});
