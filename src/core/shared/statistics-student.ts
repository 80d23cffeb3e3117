import { assert } from './assert';
import { normalQuantile } from './statistics-normal';

/**
 * Probability that a Student t value with `df` degrees of freedom is at most `t`; `df` need not be whole.
 * Absolute error about 1e-14. By the incomplete beta function's continued fraction (DLMF 8.17.22, evaluated
 * by the modified Lentz method) and the Lanczos approximation to the gamma function.
 */
export function studentCdf(t: number, df: number): number {
  assert(df > 0, 'degrees of freedom above zero');
  if (t === 0) return 0.5;
  const x = df / (df + t * t);
  const tail = incompleteBeta(x, (t * t) / (df + t * t), df / 2, 0.5) / 2;
  return t > 0 ? 1 - tail : tail;
}

/**
 * The Student t value that is not exceeded with the given probability. Relative error below 1e-12 for
 * probabilities from 1e-6 to 1 - 1e-6. Newton's method on `studentCdf`, kept inside a bracket.
 *
 * @param probability strictly between 0 and 1
 */
export function studentQuantile(probability: number, df: number): number {
  assert(probability > 0 && probability < 1, 'probability strictly between 0 and 1');
  if (probability === 0.5) return 0;
  // the small tail keeps its digits
  if (probability > 0.5) return -studentQuantile(1 - probability, df);
  let low = -1;
  while (studentCdf(low, df) > probability) low *= 2;
  let high = 0;
  let t = Math.max(low, normalQuantile(probability));
  for (let step = 0; step < 200; step++) {
    const miss = studentCdf(t, df) - probability;
    if (miss > 0) high = t;
    else low = t;
    let next = t - miss / studentDensity(t, df);
    if (!(next > low && next < high)) next = (low + high) / 2;
    if (Math.abs(next - t) <= 1e-15 * Math.abs(next)) return next;
    t = next;
  }
  return t;
}

function studentDensity(t: number, df: number): number {
  const log = logGamma((df + 1) / 2) - logGamma(df / 2) - Math.log(df * Math.PI) / 2;
  return Math.exp(log - ((df + 1) / 2) * Math.log1p((t * t) / df));
}

// Regularised; `y` is 1 - x, handed in so that it keeps its digits.
function incompleteBeta(x: number, y: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (y <= 0) return 1;
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log(y));
  return x < (a + 1) / (a + b + 2)
    ? (front * betaFraction(x, a, b)) / a
    : 1 - (front * betaFraction(y, b, a)) / b;
}

function betaFraction(x: number, a: number, b: number): number {
  const tiny = 1e-300;
  const nonZero = (value: number): number => (Math.abs(value) < tiny ? tiny : value);
  let c = 1;
  let d = 1 / nonZero(1 - ((a + b) * x) / (a + 1));
  let fraction = d;
  for (let m = 1; m <= 1_000; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / nonZero(1 + even * d);
    c = nonZero(1 + even / c);
    fraction *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / nonZero(1 + odd * d);
    c = nonZero(1 + odd / c);
    fraction *= d * c;
    if (Math.abs(d * c - 1) < 1e-16) break;
  }
  return fraction;
}

/**
 * Natural logarithm of the gamma function for x > 0, relative error about 1e-15.
 * Source: C. Lanczos (1964), coefficients for g = 7, n = 9 by P. Godfrey.
 */
export function logGamma(x: number): number {
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - logGamma(1 - x);
  const z = x - 1;
  let sum = 0.9999999999998099;
  LANCZOS.forEach((coefficient, i) => (sum += coefficient / (z + i + 1)));
  const base = z + 7.5;
  return 0.5 * Math.log(2 * Math.PI) + (z + 0.5) * Math.log(base) - base + Math.log(sum);
}

const LANCZOS = [
  676.5203681218851, -1259.1392167224028, 771.3234287776531, -176.6150291621406, 12.507343278686905,
  -0.13857109526572012, 0.000009984369578019572, 1.5056327351493116e-7,
];
