import { DueCurve } from '../../../src/core/demand/due-curve';
import { latticeMoments } from '../../../src/core/demand/lattice-distribution';
import { monthBuckets } from '../../../src/core/demand/month-buckets';
import { MonthlyOccurrences, occurrencesByMonth } from '../../../src/core/demand/occurrences-by-month';
import { toEpochDay } from '../../../src/core/shared/calendar-date';
import { InputError } from '../../../src/core/shared/input-error';

const buckets = monthBuckets('2027-01-15', 6);
const onThe = (on: string): DueCurve => {
  const dueDay = toEpochDay(on);
  return (day) => (day >= dueDay ? 1 : 0);
};
const expected = (occurrences: MonthlyOccurrences[]) =>
  occurrences.map((each) => (typeof each === 'number' ? each : latticeMoments(each).mean));

test('the first month is what is left of it', () => {
  expect(buckets.map(({ month, fromOn, untilOn }) => [month, fromOn, untilOn])).toEqual([
    ['2027-01', '2027-01-15', '2027-02-01'],
    ['2027-02', '2027-02-01', '2027-03-01'],
    ['2027-03', '2027-03-01', '2027-04-01'],
    ['2027-04', '2027-04-01', '2027-05-01'],
    ['2027-05', '2027-05-01', '2027-06-01'],
    ['2027-06', '2027-06-01', '2027-07-01'],
  ]);
  expect(monthBuckets('2027-12-31', 3).map(({ fromOn }) => fromOn)).toEqual([
    '2027-12-31',
    '2028-01-01',
    '2028-02-01',
  ]);
});

test.each([0, 1.5, 61, NaN])('%d months are refused', (months) => {
  expect(() => monthBuckets('2027-01-15', months)).toThrow(InputError);
});

test.each([
  ['overdue', '2020-05-05', [1, 0, 0, 0, 0, 0]],
  ['on the first day', '2027-01-15', [1, 0, 0, 0, 0, 0]],
  ['on the last day of a month', '2027-01-31', [1, 0, 0, 0, 0, 0]],
  ['on the first day of a month', '2027-02-01', [0, 1, 0, 0, 0, 0]],
  ['after the last month', '2027-07-01', [0, 0, 0, 0, 0, 0]],
])('%s', (_, on, months) => expect(expected(occurrencesByMonth(onThe(on), null, buckets))).toEqual(months));

test('repeats are counted from the first occurrence, an overdue one from the first day', () => {
  expect(expected(occurrencesByMonth(onThe('2027-02-20'), 60, buckets))).toEqual([0, 1, 0, 1, 0, 1]);
  // 15 January, 15 April
  expect(expected(occurrencesByMonth(onThe('2020-01-01'), 90, buckets))).toEqual([1, 0, 0, 1, 0, 0]);
  // 31 January and every fourth Sunday: 28 February, 28 March, 25 April, 23 May, 20 June
  expect(expected(occurrencesByMonth(onThe('2027-01-31'), 28, buckets))).toEqual([1, 1, 1, 1, 1, 1]);
  // every week from 20 January
  expect(expected(occurrencesByMonth(onThe('2027-01-20'), 7, buckets))).toEqual([2, 4, 5, 4, 4, 5]);
  // every day
  expect(expected(occurrencesByMonth(onThe('2027-01-15'), 1, buckets))).toEqual([17, 28, 31, 30, 31, 30]);
});

test.each([1, 3.5, 7, 13, 29.5, 30.4375, 31, 40, 45.5, 100])(
  'every %d days, first on an uncertain day: as counted day by day',
  (interval) => {
    const first = toEpochDay('2027-01-02');
    // first occurrence: triangular over 81 days
    const weights = Array.from({ length: 81 }, (_, i) => 41 - Math.abs(i - 40));
    const all = weights.reduce((a, b) => a + b);
    const curve: DueCurve = (day) =>
      weights.slice(0, Math.max(0, day - first + 1)).reduce((a, b) => a + b, 0) / all;

    const mean = buckets.map(() => 0);
    const square = buckets.map(() => 0);
    weights.forEach((weight, i) => {
      const counts = buckets.map(() => 0);
      const start = Math.max(first + i, buckets[0]!.fromDay);
      for (let k = 0; start + k * interval < buckets.at(-1)!.untilDay; k++) {
        const day = Math.floor(start + k * interval);
        const month = buckets.findIndex(({ fromDay, untilDay }) => fromDay <= day && day < untilDay);
        counts[month]! += 1;
      }
      counts.forEach((count, month) => {
        mean[month]! += (weight / all) * count;
        square[month]! += (weight / all) * count * count;
      });
    });

    const occurrences = occurrencesByMonth(curve, interval, buckets);
    occurrences.forEach((each, month) => {
      const variance = typeof each === 'number' ? each * (1 - each) : latticeMoments(each).variance;
      expect(expected([each])[0]).toBeCloseTo(mean[month]!, 10);
      expect(variance).toBeCloseTo(square[month]! - mean[month]! ** 2, 10);
    });
  },
);
