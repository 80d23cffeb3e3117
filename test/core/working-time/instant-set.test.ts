import fc from 'fast-check';
import { InputError } from '../../../src/core/shared/input-error';
import {
  complementOf,
  coversPeriod,
  differenceOf,
  instantSetOf,
  type InstantSet,
  intersectionOf,
  lengthMs,
  longestMs,
  periodsOf,
  unionOf,
} from '../../../src/core/working-time/instant-set';

// The definition of each operation: what it says of every single instant.

const END = 60;
const anyPeriods = fc.array(
  fc
    .tuple(fc.integer({ min: 0, max: END - 1 }), fc.integer({ min: 1, max: 12 }))
    .map(([startsAt, length]) => ({ startsAt, endsAt: Math.min(startsAt + length, END) })),
  { maxLength: 8 },
);
const anySet = anyPeriods.map((periods) => instantSetOf(periods));
const instants = Array.from({ length: END }, (_, i) => i);
const has = (set: InstantSet, instant: number) =>
  periodsOf(set).some(({ startsAt, endsAt }) => startsAt <= instant && instant < endsAt);
const members = (set: InstantSet) => instants.filter((instant) => has(set, instant));
const isFlatAndSorted = (set: InstantSet) =>
  set.length % 2 === 0 && set.every((value, i) => i === 0 || value > set[i - 1]!);
const RUNS = { numRuns: 2_000, seed: 20_250_330 };

test('a set has the instants of its periods, sorted and joined', () => {
  fc.assert(
    fc.property(anyPeriods, (periods) => {
      const set = instantSetOf(periods);
      expect(isFlatAndSorted(set)).toBe(true);
      expect(members(set)).toEqual(
        instants.filter((i) => periods.some(({ startsAt, endsAt }) => startsAt <= i && i < endsAt)),
      );
    }),
    RUNS,
  );
});

test('union, intersection and difference, instant by instant', () => {
  fc.assert(
    fc.property(anySet, anySet, (a, b) => {
      const [union, common, rest] = [unionOf(a, b), intersectionOf(a, b), differenceOf(a, b)];
      expect([union, common, rest].every(isFlatAndSorted)).toBe(true);
      expect(members(union)).toEqual(instants.filter((i) => has(a, i) || has(b, i)));
      expect(members(common)).toEqual(instants.filter((i) => has(a, i) && has(b, i)));
      expect(members(rest)).toEqual(instants.filter((i) => has(a, i) && !has(b, i)));
      expect(lengthMs(union) + lengthMs(common)).toBe(lengthMs(a) + lengthMs(b));
    }),
    RUNS,
  );
});

test('the complement within a range, instant by instant', () => {
  fc.assert(
    fc.property(anySet, fc.nat(END), fc.nat(END), (set, x, y) => {
      const [from, until] = [Math.min(x, y), Math.max(x, y)];
      const rest = complementOf(set, from, until);
      expect(isFlatAndSorted(rest)).toBe(true);
      expect(members(rest)).toEqual(instants.filter((i) => i >= from && i < until && !has(set, i)));
      expect(complementOf(complementOf(set, -Infinity, Infinity), -Infinity, Infinity)).toEqual(set);
    }),
    RUNS,
  );
});

test('a period is covered when each of its instants is in the set', () => {
  fc.assert(
    fc.property(anySet, fc.nat(END - 2), fc.integer({ min: 1, max: 10 }), (set, from, length) => {
      const all = Array.from({ length }, (_, i) => from + i).every((i) => has(set, i));
      expect(coversPeriod(set, from, from + length)).toBe(all);
      expect(length <= longestMs(set) || !all).toBe(true);
    }),
    RUNS,
  );
});

test('intervals that touch are one', () => {
  expect(
    instantSetOf([
      { startsAt: 5, endsAt: 9 },
      { startsAt: 0, endsAt: 5 },
    ]),
  ).toEqual([0, 9]);
});

test.each([
  { startsAt: 5, endsAt: 5 },
  { startsAt: 6, endsAt: 5 },
  { startsAt: NaN, endsAt: 5 },
])('%j is refused', (period) => {
  expect(() => instantSetOf([period], 'busy')).toThrow(InputError);
});
