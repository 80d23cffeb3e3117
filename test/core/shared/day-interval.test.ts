import fc from 'fast-check';
import { addDays } from '../../../src/core/shared/calendar-date';
import {
  containsDay,
  dayInterval,
  DayInterval,
  differenceOf,
  intersectionOf,
  lengthInDays,
  overlaps,
  unionOf,
} from '../../../src/core/shared/day-interval';

const FIRST = '2024-02-01';
const days = Array.from({ length: 60 }, (_, index) => addDays(FIRST, index));
const anyInterval = fc
  .tuple(fc.nat(50), fc.integer({ min: 1, max: 9 }))
  .map(([from, length]) => dayInterval(addDays(FIRST, from), addDays(FIRST, from + length)));

const daysOf = (intervals: readonly DayInterval[]): string[] =>
  days.filter((day) => intervals.some((each) => containsDay(each, day)));

describe('day intervals', () => {
  test('are half-open', () => {
    const leap = dayInterval('2024-02-28', '2024-03-01');
    expect(lengthInDays(leap)).toBe(2);
    expect(
      ['2024-02-27', '2024-02-28', '2024-02-29', '2024-03-01'].map((day) => containsDay(leap, day)),
    ).toEqual([false, true, true, false]);
    expect(overlaps(leap, dayInterval('2024-03-01', '2024-03-02'))).toBe(false);
    expect(() => dayInterval('2024-02-28', '2024-02-28')).toThrow('not after');
  });

  test('agree with counting day by day', () => {
    fc.assert(
      fc.property(anyInterval, fc.array(anyInterval, { maxLength: 6 }), (one, others) => {
        const mine = daysOf([one]);
        const theirs = new Set(daysOf(others));
        expect(mine).toHaveLength(lengthInDays(one));
        const union = unionOf(others);
        expect(daysOf(union)).toEqual([...theirs].sort());
        expect(union.reduce((sum, each) => sum + lengthInDays(each), 0)).toBe(theirs.size);
        union.slice(1).forEach((each, index) => expect(each.fromOn > union[index]!.untilOn).toBe(true));
        expect(daysOf(differenceOf(one, others))).toEqual(mine.filter((day) => !theirs.has(day)));
        for (const other of others) {
          const common = intersectionOf(one, other);
          expect(common !== null).toBe(overlaps(one, other));
          expect(daysOf(common ? [common] : [])).toEqual(mine.filter((day) => containsDay(other, day)));
        }
      }),
      { numRuns: 500 },
    );
  });
});
