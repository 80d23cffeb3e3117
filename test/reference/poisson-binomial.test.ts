import {
  latticeQuantile,
  poissonBinomial,
  sumDistribution,
} from '../../src/core/demand/lattice-distribution';
import { NOTHING, LatticeDistribution } from '../../src/core/demand/lattice-distribution';

const at = ({ from, probabilities }: LatticeDistribution, value: number): number =>
  probabilities[value - from] ?? 0;

const upTo = (distribution: LatticeDistribution, value: number): number => {
  let sum = 0;
  for (let k = 0; k <= value; k++) sum += at(distribution, k);
  return sum;
};

// R package PoissonBinomial (F. Junge), vignette "intro", handling of zeros and ones
test('zeros and ones among the probabilities', () => {
  const distribution = poissonBinomial([0, 0, 0.1, 0.2, 0.4, 0.8, 1]);
  const published = [0, 0.0864, 0.4344, 0.3784, 0.0944, 0.0064, 0, 0];
  published.forEach((probability, k) => expect(at(distribution, k)).toBeCloseTo(probability, 14));
});

test('equal probabilities: the binomial, 7 trials at 0.3', () => {
  const distribution = poissonBinomial(Array<number>(7).fill(0.3));
  const published = [0.0823543, 0.2470629, 0.3176523, 0.2268945, 0.0972405, 0.0250047, 0.0035721, 0.0002187];
  published.forEach((probability, k) => expect(at(distribution, k)).toBeCloseTo(probability, 14));
});

// The same package, vignette "proc_exact": set.seed(1); pp <- runif(10); wt <- sample(1:10, 10, TRUE). The
// inputs are R's Mersenne twister and rejection sampling redone; the published outputs confirm them.
const PP = [
  0.2655086631421, 0.37212389963679016, 0.5728533633518964, 0.9082077899947762, 0.2016819310374558,
  0.8983896849676967, 0.9446752686053514, 0.6607977924868464, 0.6291140438988805, 0.061786270467564464,
];
const WT = [3, 1, 5, 5, 10, 6, 10, 7, 9, 5];

test('61 trials: density, distribution function and quantiles of the vignette', () => {
  const distribution = poissonBinomial(PP.flatMap((p, i) => Array<number>(WT[i]!).fill(p)));
  const density: [number, number][] = [
    [16, 5.784692e-11],
    [20, 1.395965e-7],
    [30, 1.824629e-2],
    [35, 1.239854e-1],
    [36, 1.319896e-1],
    [37, 1.259938e-1],
    [45, 1.39832e-3],
    [54, 3.110922e-10],
  ];
  for (const [k, published] of density) expect(at(distribution, k) / published).toBeCloseTo(1, 6);
  const cumulative: [number, number][] = [
    [30, 3.384269e-2],
    [31, 6.692022e-2],
    [35, 4.286383e-1],
    [36, 5.60628e-1],
    [40, 9.328105e-1],
    [41, 9.669468e-1],
  ];
  for (const [k, published] of cumulative) expect(upTo(distribution, k) / published).toBeCloseTo(1, 6);
  // read off the published distribution function
  expect(latticeQuantile(distribution, 0.05)).toBe(31);
  expect(latticeQuantile(distribution, 0.5)).toBe(36);
  expect(latticeQuantile(distribution, 0.95)).toBe(41);
});

// ... and the generalised distribution: va <- sample(0:10, 10, TRUE); vb <- sample(0:10, 10, TRUE). A trial
// gives va with probability pp, else vb: the smaller of the two surely, and their difference perhaps.
test('trials of different weights: the generalised distribution of the vignette', () => {
  const va = [4, 8, 8, 4, 4, 1, 9, 8, 0, 3];
  const vb = [2, 5, 9, 9, 5, 3, 3, 9, 8, 6];
  let sum = NOTHING;
  PP.forEach((p, i) => {
    const difference = va[i]! - vb[i]!;
    const counts = poissonBinomial(Array<number>(WT[i]!).fill(difference > 0 ? p : 1 - p));
    sum = sumDistribution(sum, counts, Math.abs(difference));
  });
  const surely = PP.reduce((total, _, i) => total + WT[i]! * Math.min(va[i]!, vb[i]!), 0);
  expect(surely).toBe(218);
  // values of the vignette are numbered from 1
  const density: [number, number][] = [
    [60, 3.57665e-7],
    [80, 4.112231e-4],
    [100, 1.378863e-2],
    [116, 2.983772e-2],
    [130, 1.836001e-2],
    [150, 1.596805e-3],
    [180, 2.406488e-7],
  ];
  for (const [number, published] of density) expect(at(sum, number - 1) / published).toBeCloseTo(1, 6);
  expect(upTo(sum, 114)).toBeCloseTo(0.457113, 6);
  expect(upTo(sum, 115)).toBeCloseTo(0.4869507, 7);
  // 0.05 lies between the 95th (0.04867163) and the 96th value, 0.95 between the 138th and the 139th
  expect(latticeQuantile(sum, 0.05)).toBe(95);
  expect(latticeQuantile(sum, 0.95)).toBe(138);
});

// R package poibin (Y. Hong), values in the tests of the Python package poibin of M. Straka
test('8 trials of the package poibin', () => {
  const distribution = poissonBinomial([
    0.9955901, 0.5696224, 0.8272597, 0.3818746, 0.4290036, 0.8707646, 0.8858267, 0.7557183,
  ]);
  expect(at(distribution, 0)).toBeCloseTo(4.17079659e-7, 12);
  expect(at(distribution, 2)).toBeCloseTo(2.46250608e-3, 9);
  expect(at(distribution, 7)).toBeCloseTo(2.02460933e-1, 9);
  expect(at(distribution, 8)).toBeCloseTo(4.48023378e-2, 9);
});
