import { assert } from './assert';

/**
 * The k-th smallest of the first `length` values, counting from 0; reorders them. Expected linear time.
 * Hoare's selection with the median of three as pivot: the same input always takes the same steps.
 */
export function selectInPlace(values: Float64Array | number[], k: number, length = values.length): number {
  assert(k >= 0 && k < length, 'rank inside the sample');
  let low = 0;
  let high = length - 1;
  while (low < high) {
    const pivot = medianOfThree(at(values, low), at(values, (low + high) >>> 1), at(values, high));
    let i = low;
    let j = high;
    while (i <= j) {
      while (at(values, i) < pivot) i++;
      while (at(values, j) > pivot) j--;
      if (i <= j) {
        const swapped = at(values, i);
        values[i] = at(values, j);
        values[j] = swapped;
        i++;
        j--;
      }
    }
    if (k <= j) high = j;
    else if (k >= i) low = i;
    else break;
  }
  return at(values, k);
}

/**
 * The middle value, or the mean of the two middle ones.
 *
 * @param values at least one, none of them NaN
 */
export function median(values: readonly number[]): number {
  assert(values.length > 0, 'median of at least one value');
  const sorted = Float64Array.from(values);
  const upper = selectInPlace(sorted, values.length >>> 1);
  if (values.length % 2 === 1) return upper;
  return between(selectInPlace(sorted, (values.length >>> 1) - 1), upper, 0.5);
}

/**
 * Sample quantile of type 7 of Hyndman and Fan (1996), Sample quantiles in statistical packages: linear
 * between the order statistics at rank (n - 1) * probability. 0.5 is the median.
 *
 * @param values at least one, none of them NaN
 * @param probability 0 to 1
 */
export function quantile(values: readonly number[], probability: number): number {
  assert(values.length > 0, 'quantile of at least one value');
  assert(probability >= 0 && probability <= 1, 'probability from 0 to 1');
  const sorted = Float64Array.from(values).sort();
  const rank = (sorted.length - 1) * probability;
  const below = Math.floor(rank);
  const low = at(sorted, below);
  return rank === below ? low : between(low, at(sorted, below + 1), rank - below);
}

/** Mean by a plain sum; at least one value. */
export function mean(values: readonly number[]): number {
  assert(values.length > 0, 'mean of at least one value');
  let sum = 0;
  for (const value of values) sum += value;
  return sum / values.length;
}

// one formula, so that the median is the quantile of 0.5 to the last digit
function between(low: number, high: number, share: number): number {
  return low + share * (high - low);
}

function at(values: Float64Array | readonly number[], index: number): number {
  return values[index] as number;
}

function medianOfThree(a: number, b: number, c: number): number {
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}
