import { InputError } from './input-error';
import { studentQuantile } from './statistics-student';

/** A fitted line, or curve of higher order, with what is needed to judge it. */
export interface LeastSquaresFit {
  /** Constant first (where there is one), then by rising power of x. */
  readonly coefficients: readonly number[];
  readonly standardDeviations: readonly number[];
  readonly residualSd: number;
  /** About the mean; about zero for a fit without a constant. */
  readonly rSquared: number;
  readonly regressionSumOfSquares: number;
  readonly residualSumOfSquares: number;
  readonly degreesOfFreedom: number;
  /** The fitted value at x with its half-widths at a confidence: of the line, and of one further value. */
  predict(x: number, confidence: number): Prediction;
}

/** `value` plus or minus `halfWidth`. */
export interface Prediction {
  readonly value: number;
  readonly halfWidthOfLine: number;
  readonly halfWidthOfValue: number;
}

/**
 * Ordinary least squares of a polynomial in x, by Householder reflections on x centred and scaled to
 * [-1, 1]: the sums that lose digits are never formed. Residual sums come from the residuals.
 *
 * @param order 1 for a line, 2 for a parabola
 * @param withConstant false for a fit through zero
 * @throws InputError when there are not more points than coefficients or too few different x
 */
export function leastSquares(
  x: readonly number[],
  y: readonly number[],
  order = 1,
  withConstant = true,
): LeastSquaresFit {
  const size = order + (withConstant ? 1 : 0);
  if (x.length !== y.length || x.length <= size) {
    throw new InputError('x', `${x.length} points do not determine ${size} coefficients`, 'give more points');
  }
  const centre = withConstant ? sum(x) / x.length : 0;
  const scale = Math.max(...x.map((value) => Math.abs(value - centre)));
  if (scale === 0) throw tooFewX();
  const powers = Array.from({ length: size }, (_, k) => k + (withConstant ? 0 : 1));
  const row = (at: number): number[] => powers.map((power) => ((at - centre) / scale) ** power);
  const inverse = triangularFit(
    x.map((at, i) => [...row(at), y[i] as number]),
    size,
  );
  if (!inverse) throw tooFewX();
  const scaled = inverse.solution;
  const valueAt = (at: number): number =>
    row(at).reduce((fit, term, k) => fit + term * (scaled[k] as number), 0);
  const residualSumOfSquares = sum(x.map((at, i) => ((y[i] as number) - valueAt(at)) ** 2));
  const meanY = withConstant ? sum(y) / y.length : 0;
  const totalSumOfSquares = sum(y.map((value) => (value - meanY) ** 2));
  const degreesOfFreedom = x.length - size;
  const residualSd = Math.sqrt(residualSumOfSquares / degreesOfFreedom);
  // each coefficient of x itself is a fixed mixture of the scaled ones
  const mixtures = powers.map((power) => powers.map((from) => expansion(from, power, centre, scale)));
  return {
    coefficients: mixtures.map((mixture) => dot(mixture, scaled)),
    standardDeviations: mixtures.map((mixture) => residualSd * Math.sqrt(inverse.variance(mixture))),
    residualSd,
    rSquared: 1 - residualSumOfSquares / totalSumOfSquares,
    regressionSumOfSquares: totalSumOfSquares - residualSumOfSquares,
    residualSumOfSquares,
    degreesOfFreedom,
    predict(at, confidence) {
      const t = studentQuantile((1 + confidence) / 2, degreesOfFreedom);
      const leverage = inverse.variance(row(at));
      return {
        value: valueAt(at),
        halfWidthOfLine: t * residualSd * Math.sqrt(leverage),
        halfWidthOfValue: t * residualSd * Math.sqrt(1 + leverage),
      };
    },
  };
}

function tooFewX(): InputError {
  return new InputError('x', 'too few different values of x', 'give points further apart');
}

// Coefficient of x^power in ((x - centre) / scale)^from.
function expansion(from: number, power: number, centre: number, scale: number): number {
  if (power > from) return 0;
  let choose = 1;
  for (let k = 0; k < power; k++) choose = (choose * (from - k)) / (k + 1);
  return (choose * (-centre) ** (from - power)) / scale ** from;
}

// Rows hold the terms and then y. Returns the solution, and the variance of a mixture of coefficients in
// units of the residual variance: the squared length of R^-T * mixture.
function triangularFit(rows: number[][], size: number) {
  for (let k = 0; k < size; k++) {
    const column = rows.slice(k).map((row) => row[k] as number);
    const length = Math.hypot(...column);
    if (length < 1e-13 * Math.sqrt(rows.length)) return null;
    const head = column[0] as number;
    const pivot = head > 0 ? -length : length;
    column[0] = head - pivot;
    const square = sum(column.map((value) => value * value));
    for (let c = k; c <= size; c++) {
      const along = sum(column.map((value, i) => value * ((rows[k + i] as number[])[c] as number)));
      column.forEach((value, i) => {
        const row = rows[k + i] as number[];
        row[c] = (row[c] as number) - (2 * value * along) / square;
      });
    }
  }
  const r = (i: number, j: number): number => (rows[i] as number[])[j] as number;
  const solution = new Array<number>(size).fill(0);
  for (let i = size - 1; i >= 0; i--) {
    let rest = r(i, size);
    for (let j = i + 1; j < size; j++) rest -= r(i, j) * (solution[j] as number);
    solution[i] = rest / r(i, i);
  }
  return {
    solution,
    variance(mixture: readonly number[]): number {
      const solved: number[] = [];
      for (let i = 0; i < size; i++) {
        let rest = mixture[i] as number;
        for (let j = 0; j < i; j++) rest -= r(j, i) * (solved[j] as number);
        solved.push(rest / r(i, i));
      }
      return sum(solved.map((value) => value * value));
    },
  };
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((total, value, k) => total + value * (b[k] as number), 0);
}

function sum(values: readonly number[]): number {
  let total = 0;
  for (const value of values) total += value;
  return total;
}
