import { EpochDay } from '../shared/calendar-date';
import { DueCurve } from './due-curve';
import { LatticeDistribution } from './lattice-distribution';
import { MonthBucket } from './month-buckets';

/**
 * How often one item falls due in a month: a probability where it is at most once, else the distribution of
 * the number.
 */
export type MonthlyOccurrences = number | LatticeDistribution;

// with at least this many days between two, no month holds both
const ONCE_A_MONTH_DAYS = 31;
// less than rounding leaves in a sum of ten thousand
const NEGLIGIBLE = 1e-15;

/**
 * How often an item falls due in each month.
 *
 * What fell due before the first day is done on the first day. The k-th repeat falls due k intervals after
 * the first occurrence: its distribution is the first one moved by k intervals, with the median due date plus
 * k intervals as its median. Intervals themselves do not vary, and every occurrence is taken to be done on
 * its due day. Exact under these terms: with 31 days or more from one to the next, the occurrences of a month
 * exclude each other and their probabilities add up; with fewer, the number in a month is counted for each
 * day that the first occurrence may fall on.
 *
 * @param repeatsEveryDays at least 1, or null
 */
export function occurrencesByMonth(
  curve: DueCurve,
  repeatsEveryDays: number | null,
  buckets: readonly MonthBucket[],
): MonthlyOccurrences[] {
  const fromDay = buckets[0]?.fromDay ?? 0;
  const firstBy = (day: EpochDay): number => (day < fromDay ? 0 : curve(day));
  return repeatsEveryDays !== null && repeatsEveryDays < ONCE_A_MONTH_DAYS
    ? severalAMonth(firstBy, repeatsEveryDays, buckets)
    : onceAMonth(firstBy, repeatsEveryDays, buckets);
}

function onceAMonth(
  firstBy: DueCurve,
  repeatsEveryDays: number | null,
  buckets: readonly MonthBucket[],
): number[] {
  const fromDay = buckets[0]?.fromDay ?? 0;
  const probabilities = buckets.map(() => 0);
  const lastDay = (buckets.at(-1)?.untilDay ?? 0) - 1;
  for (let shift = 0; fromDay + shift <= lastDay; shift += repeatsEveryDays ?? Infinity) {
    let before = 0;
    buckets.forEach(({ untilDay }, index) => {
      // the last whole day of the first occurrence that keeps this one before the end of the month
      const by = firstBy(Math.ceil(untilDay - shift) - 1);
      probabilities[index] = (probabilities[index] as number) + by - before;
      before = by;
    });
  }
  // sums and differences may leave 0 to 1 by rounding
  return probabilities.map((probability) => Math.min(1, Math.max(0, probability)));
}

function severalAMonth(
  firstBy: DueCurve,
  repeatsEveryDays: number,
  buckets: readonly MonthBucket[],
): MonthlyOccurrences[] {
  const numbers = buckets.map(() => [1]);
  const fromDay = buckets[0]?.fromDay ?? 0;
  const untilDay = buckets.at(-1)?.untilDay ?? 0;
  let before = 0;
  for (let first = fromDay; first < untilDay; first++) {
    const by = firstBy(first);
    const probability = by - before;
    if (probability < NEGLIGIBLE) continue;
    before = by;
    const occurrencesBefore = (day: EpochDay): number =>
      Math.max(0, Math.ceil((day - first) / repeatsEveryDays));
    buckets.forEach((bucket, index) => {
      const number = occurrencesBefore(bucket.untilDay) - occurrencesBefore(bucket.fromDay);
      const distribution = numbers[index] as number[];
      if (number === 0) return;
      while (distribution.length <= number) distribution.push(0);
      distribution[0] = (distribution[0] as number) - probability;
      distribution[number] = (distribution[number] as number) + probability;
    });
  }
  return numbers.map((distribution) => ({
    from: 0,
    probabilities: Float64Array.from(distribution, (probability) => Math.max(0, probability)),
  }));
}
