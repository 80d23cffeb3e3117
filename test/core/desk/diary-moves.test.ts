import {
  beside,
  endOfWork,
  inTheWay,
  movedByDays,
  movedByQuarters,
  nextSpot,
} from '../../../src/desk/pages/diary/moves';

const LONDON = 'Europe/London';
const at = (text: string): number => Date.parse(text);
const period = (from: string, until: string) => ({ startsAt: at(from), endsAt: at(until) });

describe('by quarters of an hour', () => {
  it.each([
    ['2026-12-01T09:00:00Z', 1, '2026-12-01T09:15:00Z'],
    ['2026-12-01T09:00:00Z', -4, '2026-12-01T08:00:00Z'],
    // what stands between two quarters comes onto them
    ['2026-12-01T09:05:00Z', 1, '2026-12-01T09:15:00Z'],
    ['2026-12-01T09:05:00Z', -1, '2026-12-01T09:00:00Z'],
  ])('%s moved by %i is %s', (from, quarters, to) => {
    expect(movedByQuarters(at(from), quarters)).toBe(at(to));
  });

  // Directive 2000/84/EC: in London 00:59:59 GMT is followed by 02:00 BST on 29 March 2026
  it('loses and repeats none over a clock change', () => {
    expect(movedByQuarters(at('2026-03-29T00:45:00+00:00'), 1)).toBe(at('2026-03-29T02:00:00+01:00'));
    expect(movedByQuarters(at('2026-10-25T01:45:00+01:00'), 1)).toBe(at('2026-10-25T01:00:00+00:00'));
  });
});

describe('by days', () => {
  it('keeps the time by the clock over a clock change', () => {
    expect(movedByDays(at('2026-03-28T09:00:00+00:00'), 1, LONDON)).toBe(at('2026-03-29T09:00:00+01:00'));
    expect(movedByDays(at('2026-10-26T09:00:00+00:00'), -2, LONDON)).toBe(at('2026-10-24T09:00:00+01:00'));
  });

  it('comes as much later as the clock jumps where there is no such time', () => {
    expect(movedByDays(at('2026-03-28T01:30:00+00:00'), 1, LONDON)).toBe(at('2026-03-29T02:30:00+01:00'));
  });
});

it('stays with the last of a row', () => {
  expect([beside(['a', 'b'], 'a', 1), beside(['a', 'b'], 'b', 1), beside(['a', 'b'], 'a', -1)]).toEqual([
    'b',
    'b',
    'a',
  ]);
});

describe('the end of work', () => {
  const open = [
    period('2026-12-01T08:00:00Z', '2026-12-01T12:00:00Z'),
    period('2026-12-01T13:00:00Z', '2026-12-01T17:00:00Z'),
    period('2026-12-02T08:00:00Z', '2026-12-02T12:00:00Z'),
  ];

  it.each([
    ['2026-12-01T08:00:00Z', 240, '2026-12-01T12:00:00Z'],
    ['2026-12-01T11:00:00Z', 120, '2026-12-01T14:00:00Z'],
    ['2026-12-01T16:30:00Z', 60, '2026-12-02T08:30:00Z'],
  ])('that begins at %s and takes %i minutes is %s', (from, minutes, end) => {
    expect(endOfWork(at(from), minutes, open)).toBe(at(end));
  });

  it('is not known where it is shut at the beginning, or beyond the hours at hand', () => {
    expect(endOfWork(at('2026-12-01T12:00:00Z'), 30, open)).toBeNull();
    expect(endOfWork(at('2026-12-02T11:00:00Z'), 90, open)).toBeNull();
  });
});

it('is in nobody’s way where it only touches', () => {
  const standing = [period('2026-12-01T08:00:00Z', '2026-12-01T09:00:00Z')];
  expect(inTheWay(period('2026-12-01T09:00:00Z', '2026-12-01T10:00:00Z'), standing)).toEqual([]);
  expect(inTheWay(period('2026-12-01T08:45:00Z', '2026-12-01T10:00:00Z'), standing)).toEqual(standing);
});

describe('an arrow key', () => {
  const spots = [
    { id: 'a1', row: 0, startsAt: 8 },
    { id: 'a2', row: 0, startsAt: 14 },
    { id: 'c1', row: 2, startsAt: 9 },
    { id: 'c2', row: 2, startsAt: 13 },
  ];

  it.each([
    ['a1', 'down', 'a2'],
    ['a2', 'up', 'a1'],
    // over the empty row
    ['a2', 'right', 'c2'],
    ['c1', 'left', 'a1'],
    ['a1', 'up', null],
    ['c2', 'right', null],
    ['gone', 'down', null],
  ] as const)('from %s %s leads to %s', (from, direction, to) => {
    expect(nextSpot(spots, from, direction)).toBe(to);
  });
});
