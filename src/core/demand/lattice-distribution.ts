import { assert } from '../shared/assert';

/** Probabilities of the whole numbers `from`, `from` + 1 and so on; next to nothing lies outside. */
export interface LatticeDistribution {
  readonly from: number;
  readonly probabilities: Float64Array;
}

// Ends below this are cut off. Ten thousand cuts leave out less than 1e-13.
const NEGLIGIBLE = 1e-18;
// A trial nearer than this to 0 or 1 counts as 0 or 1.
const CERTAIN = 1e-15;
// Sums of probabilities reach a round figure such as 0.95 only to rounding.
const ROUNDING = 1e-12;

/** The distribution of what is surely 0. */
export const NOTHING: LatticeDistribution = { from: 0, probabilities: Float64Array.of(1) };

/**
 * Distribution of the number of successes among independent trials with the given probabilities: the
 * Poisson-binomial distribution, by adding one trial after the other (direct convolution). Exact up to
 * rounding; ends with probabilities below 1e-18 are cut off, 1e-13 in all for ten thousand trials.
 *
 * Source: W. Biscarri, S. D. Zhao, R. J. Brunner, A simple and fast method for computing the Poisson binomial
 * distribution function, Computational Statistics & Data Analysis 122 (2018), 92-100.
 */
export function poissonBinomial(successes: ArrayLike<number>): LatticeDistribution {
  const cells = new Float64Array(successes.length + 2);
  cells[0] = 1;
  let low = 0;
  let high = 0;
  let certain = 0;
  for (let trial = 0; trial < successes.length; trial++) {
    const success = successes[trial] as number;
    if (success > 1 - CERTAIN) certain++;
    if (success < CERTAIN || success > 1 - CERTAIN) continue;
    const failure = 1 - success;
    cells[high + 1] = (cells[high] as number) * success;
    for (let k = high; k > low; k--) {
      cells[k] = (cells[k] as number) * failure + (cells[k - 1] as number) * success;
    }
    cells[low] = (cells[low] as number) * failure;
    high++;
    while ((cells[low] as number) < NEGLIGIBLE) low++;
    while ((cells[high] as number) < NEGLIGIBLE) high--;
  }
  return { from: certain + low, probabilities: cells.slice(low, high + 1) };
}

/**
 * Distribution of the sum of a value of `a` and `times` a value of `b`, independent of each other.
 *
 * @param times whole number, at least 0
 */
export function sumDistribution(
  a: LatticeDistribution,
  b: LatticeDistribution,
  times = 1,
): LatticeDistribution {
  const cells = new Float64Array(a.probabilities.length + (b.probabilities.length - 1) * times);
  for (let j = 0; j < b.probabilities.length; j++) {
    const probability = b.probabilities[j] as number;
    if (probability === 0) continue;
    const shift = j * times;
    for (let i = 0; i < a.probabilities.length; i++) {
      cells[shift + i] = (cells[shift + i] as number) + (a.probabilities[i] as number) * probability;
    }
  }
  let low = 0;
  let high = cells.length - 1;
  while ((cells[low] as number) < NEGLIGIBLE) low++;
  while ((cells[high] as number) < NEGLIGIBLE) high--;
  return { from: a.from + b.from * times + low, probabilities: cells.subarray(low, high + 1) };
}

/**
 * The smallest value that is not exceeded with at least the given probability.
 *
 * @param probability strictly between 0 and 1
 */
export function latticeQuantile(distribution: LatticeDistribution, probability: number): number {
  assert(probability > 0 && probability < 1, 'probability strictly between 0 and 1');
  let sum = 0;
  for (let index = 0; index < distribution.probabilities.length; index++) {
    sum += distribution.probabilities[index] as number;
    if (sum >= probability - ROUNDING) return distribution.from + index;
  }
  return distribution.from + distribution.probabilities.length - 1;
}

/** Mean and variance of a distribution. */
export function latticeMoments(distribution: LatticeDistribution): { mean: number; variance: number } {
  let mean = 0;
  distribution.probabilities.forEach((probability, index) => (mean += probability * index));
  let variance = 0;
  distribution.probabilities.forEach((probability, index) => {
    variance += probability * (index - mean) * (index - mean);
  });
  return { mean: distribution.from + mean, variance };
}
