import {
  latticeMoments,
  latticeQuantile,
  LatticeDistribution,
  NOTHING,
  sumDistribution,
} from './lattice-distribution';

/** How often something is done in a month, and what it takes each time. */
export interface WeightedCount {
  /** Quantity each time, at least 0. */
  readonly weight: number;
  readonly counts: LatticeDistribution;
  /** Of the number. */
  readonly mean: number;
  readonly variance: number;
}

/** A quantity that is not known yet: its mean, variance and 90 % band. */
export interface DemandFigure {
  readonly expected: number;
  /** Smallest quantity that is not exceeded with a probability of 5 % at least. */
  readonly low: number;
  /** Smallest quantity that is not exceeded with a probability of 95 % at least. */
  readonly high: number;
  readonly variance: number;
  /** `rounded`: quantities were rounded to multiples of `step` for the band; mean and variance stay exact. */
  readonly band: 'exact' | 'rounded';
  /** Step of the grid that the band was computed on; 0 where nothing is needed. */
  readonly step: number;
}

export const BAND_LOW = 0.05;
export const BAND_HIGH = 0.95;
// Multiplications for one figure; more of them would keep a planner waiting.
const MOST_STEPS = 30_000_000;
const WHOLE = 1e-6;

/**
 * Sum of independent numbers times their weights, by exact convolution on the coarsest grid that holds every
 * weight (the greatest common divisor of the weights in multiples of `grid`).
 *
 * Where that would take more than 3e7 multiplications (thousands of different weights without a common
 * divisor), or where a weight is no multiple of `grid`, the weights are rounded to a grid, twice as coarse
 * until it is quick enough, and the quantiles are moved and stretched to the exact mean and variance, the low
 * one rounded down and the high one up to `grid`. Such a figure says `rounded`.
 *
 * @param grid smallest step of the quantity that matters, such as 1 minute or 0.001 litres
 */
export function weightedSum(terms: readonly WeightedCount[], grid: number): DemandFigure {
  const used = terms.filter(({ weight, mean }) => weight > 0 && mean > 0);
  let expected = 0;
  let variance = 0;
  for (const { weight, mean, variance: ofCount } of used) {
    expected += weight * mean;
    variance += weight * weight * ofCount;
  }
  if (used.length === 0) return { expected: 0, low: 0, high: 0, variance: 0, band: 'exact', step: 0 };
  const inGrid = used.map(({ weight }) => Math.round(weight / grid));
  const onGrid = used.every(({ weight }, i) => Math.abs(weight / grid - (inGrid[i] as number)) < WHOLE);
  // all of them may be smaller than half a grid
  const divisor = Math.max(1, inGrid.reduce(greatestCommonDivisor, 0));
  let coarser = 1;
  let groups = grouped(used, inGrid, divisor);
  while (stepsFor(groups) > MOST_STEPS) {
    coarser *= 2;
    groups = grouped(used, inGrid, divisor * coarser);
  }
  const step = grid * divisor * coarser;
  const sum = [...groups]
    .sort(([a], [b]) => a - b)
    .reduce((total, [times, counts]) => sumDistribution(total, counts, times), NOTHING);
  const low = latticeQuantile(sum, BAND_LOW);
  const high = latticeQuantile(sum, BAND_HIGH);
  if (onGrid && coarser === 1) {
    const exactly = (cell: number): number => withoutNoise(cell * divisor * grid, grid);
    return {
      expected,
      low: exactly(low),
      high: exactly(high),
      variance,
      band: 'exact',
      step: withoutNoise(step, grid),
    };
  }
  const rounded = latticeMoments(sum);
  const stretch = rounded.variance > 0 ? Math.sqrt(variance / rounded.variance) : 0;
  const quantity = (cell: number): number => Math.max(0, expected + (cell - rounded.mean) * stretch);
  return {
    expected,
    low: withoutNoise(Math.floor(quantity(low) / grid + WHOLE) * grid, grid),
    high: withoutNoise(Math.ceil(quantity(high) / grid - WHOLE) * grid, grid),
    variance,
    band: 'rounded',
    step: withoutNoise(step, grid),
  };
}

type Groups = ReadonlyMap<number, LatticeDistribution>;

// equal weights are added as numbers, which takes far fewer steps
function grouped(terms: readonly WeightedCount[], inGrid: readonly number[], divisor: number): Groups {
  const groups = new Map<number, LatticeDistribution>();
  terms.forEach(({ counts }, index) => {
    const times = Math.round((inGrid[index] as number) / divisor);
    if (times === 0) return;
    const before = groups.get(times);
    groups.set(times, before ? sumDistribution(before, counts) : counts);
  });
  return groups;
}

// an estimate: the ends of a sum of many are cut off within some ten standard deviations
function stepsFor(groups: Groups): number {
  let span = 0;
  let variance = 0;
  let steps = 0;
  for (const [times, counts] of [...groups].sort(([a], [b]) => a - b)) {
    steps += (1 + Math.min(span, 20 * Math.sqrt(variance))) * counts.probabilities.length;
    span += times * (counts.probabilities.length - 1);
    variance += times * times * latticeMoments(counts).variance;
  }
  return steps;
}

function greatestCommonDivisor(a: number, b: number): number {
  while (b !== 0) [a, b] = [b, a % b];
  return a;
}

// 3 × 0.001 is 0.003, not 0.0030000000000000001
function withoutNoise(quantity: number, grid: number): number {
  const perUnit = Math.round(1 / grid);
  return perUnit >= 1 ? Math.round(quantity * perUnit) / perUnit : quantity;
}
