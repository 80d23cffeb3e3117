import { InputError } from '../shared/input-error';
import type { LeastSquaresFit } from '../shared/statistics-least-squares';
import { studentQuantile } from '../shared/statistics-student';

/** Where a fitted line reaches a level. */
export interface InversePrediction {
  readonly x: number;
  readonly low: number;
  readonly high: number;
  /** Squared half-width of the slope's interval over the squared slope; below 1 for a slope told from zero. */
  readonly g: number;
}

/**
 * The x at which a straight line reaches a level, with its interval (Fieller's theorem): where the line itself
 * does, or where one further reading does.
 *
 * Source: F. A. Graybill, H. K. Iyer, Regression Analysis (1994), chapter 6; E. C. Fieller, J. R. Statist.
 * Soc. B 16 (1954), 175-185.
 *
 * @param line of order 1 with a constant
 * @param x of the points of the fit
 * @param confidence of the two-sided interval, such as 0.8
 * @throws InputError naming `line` when the slope cannot be told from zero (g of at least 1): then no finite
 *   interval exists, and none is made up
 */
export function inversePrediction(
  line: LeastSquaresFit,
  x: readonly number[],
  level: number,
  confidence: number,
  of: 'mean-line' | 'single-reading',
): InversePrediction {
  const [constant, slope] = line.coefficients as [number, number];
  const t = studentQuantile((1 + confidence) / 2, line.degreesOfFreedom);
  const g = ((t * (line.standardDeviations[1] as number)) / slope) ** 2;
  if (!(g < 1)) {
    throw new InputError(
      'line',
      `the slope cannot be told from zero at ${confidence * 100} % confidence (g = ${g.toPrecision(4)})`,
      'give more readings over a longer time, or ask for less confidence; there is no finite interval',
    );
  }
  const mean = x.reduce((sum, value) => sum + value, 0) / x.length;
  const spread = x.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  const at = (level - constant) / slope;
  const offset = at - mean;
  const centre = mean + offset / (1 - g);
  const variance = (of === 'mean-line' ? 0 : 1) + 1 / x.length;
  const half =
    ((t * line.residualSd) / (Math.abs(slope) * (1 - g))) *
    Math.sqrt(variance * (1 - g) + (offset * offset) / spread);
  return { x: at, low: centre - half, high: centre + half, g };
}
