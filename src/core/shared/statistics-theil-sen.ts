import { assert } from './assert';
import { normalQuantile } from './statistics-normal';
import { selectInPlace } from './statistics-quantile';

/**
 * A robust line: the median of the slopes between all pairs of points.
 *
 * `low` and `high` are order statistics of those slopes: the ranks come from the normal approximation to
 * Kendall's score with ties corrected, rounded half to even, as `scipy.stats.theilslopes` does it. For a
 * small sample the exact distribution gives other ranks. The interval is that of the slope; it is not a
 * forecast of anything to come.
 */
export interface TheilSenLine {
  readonly slope: number;
  readonly low: number;
  readonly high: number;
  /** Pairs with different x. */
  readonly pairs: number;
}

/**
 * Theil-Sen slope with its interval. A pair with equal x and different y has an endless slope where
 * `keepVertical` is set, and is left out otherwise; a pair with equal x and y is always left out.
 *
 * The time grows with the square of the number of points. Source: P. K. Sen, Estimates of the regression
 * coefficient based on Kendall's tau, JASA 63 (1968), 1379-1389.
 *
 * @param x and y of the same length
 * @param confidence of the interval, such as 0.95
 * @returns null when no pair has a slope
 */
export function theilSen(
  x: readonly number[],
  y: readonly number[],
  confidence = 0.95,
  keepVertical = false,
): TheilSenLine | null {
  assert(x.length === y.length, 'as many x as y');
  assert(confidence > 0 && confidence < 1, 'confidence strictly between 0 and 1');
  const slopes = new Float64Array((x.length * (x.length - 1)) / 2);
  let pairs = 0;
  for (let i = 1; i < x.length; i++) {
    const xi = x[i] as number;
    const yi = y[i] as number;
    for (let j = 0; j < i; j++) {
      const run = xi - (x[j] as number);
      const rise = yi - (y[j] as number);
      if (run !== 0) slopes[pairs++] = rise / run;
      else if (keepVertical && rise !== 0) slopes[pairs++] = Infinity;
    }
  }
  if (pairs === 0) return null;
  const upperMiddle = selectInPlace(slopes, pairs >>> 1, pairs);
  const slope =
    pairs % 2 === 1 ? upperMiddle : (selectInPlace(slopes, (pairs >>> 1) - 1, pairs) + upperMiddle) / 2;
  const spread = normalQuantile((1 - confidence) / 2) * Math.sqrt(scoreVariance(x, y));
  const lowRank = Math.max(roundHalfEven((pairs + spread) / 2) - 1, 0);
  const highRank = Math.min(roundHalfEven((pairs - spread) / 2), pairs - 1);
  return {
    slope,
    low: selectInPlace(slopes, lowRank, pairs),
    high: selectInPlace(slopes, highRank, pairs),
    pairs,
  };
}

// variance of Kendall's score, less what ties in x and in y take away
function scoreVariance(x: readonly number[], y: readonly number[]): number {
  return Math.max(0, (term(x.length) - tieTerms(x) - tieTerms(y)) / 18);
}

function tieTerms(values: readonly number[]): number {
  const sorted = Float64Array.from(values).sort();
  let sum = 0;
  let run = 1;
  for (let i = 1; i <= sorted.length; i++) {
    if (i < sorted.length && sorted[i] === sorted[i - 1]) run++;
    else {
      if (run > 1) sum += term(run);
      run = 1;
    }
  }
  return sum;
}

function term(n: number): number {
  return n * (n - 1) * (2 * n + 5);
}

function roundHalfEven(value: number): number {
  const floor = Math.floor(value);
  const rest = value - floor;
  if (rest !== 0.5) return Math.round(value);
  return floor % 2 === 0 ? floor : floor + 1;
}
