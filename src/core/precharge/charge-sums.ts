/**
 * Readings of one charge: years since anywhere, never falling, and the logarithm of the absolute pressure.
 */
export interface ChargeSeries {
  readonly years: readonly number[];
  readonly logs: readonly number[];
}

/** A value that the line is thought to have at year 0, with its precision in units of 1 / reading variance. */
export interface LevelPrior {
  readonly mean: number;
  readonly precision: number;
}

/**
 * Weighted sums of one charge after its level has been taken out, and where the wandering stands after the last
 * reading. x is minus the years since the first reading, y the logarithm less that of the first reading.
 */
export interface ChargeSums {
  readonly readings: number;
  readonly firstYear: number;
  readonly firstLog: number;
  readonly lastYear: number;
  readonly weight: number;
  readonly meanX: number;
  readonly meanY: number;
  /** About the means. */
  readonly sumXX: number;
  readonly sumXY: number;
  /** Logarithm of the determinant of the readings' covariance. */
  readonly logDeterminant: number;
  /** The wandering at the last reading, as it would be for the columns 1, x and y; and its variance. */
  readonly wanderOfOne: number;
  readonly wanderOfX: number;
  readonly wanderOfY: number;
  readonly wanderVariance: number;
}

/**
 * Generalised least squares of a line whose errors have the covariance `I + wanderPerYear * min(s_i, s_j)`,
 * with s the years since the first reading: reading error of variance one and a Brownian wandering. Its inverse is
 * never formed: a Kalman filter of the wandering turns the columns into independent innovations.
 *
 * @param series at least one reading
 * @param level a prior of the line's value at year 0, null for none
 */
export function chargeSums(
  series: ChargeSeries,
  wanderPerYear: number,
  level: LevelPrior | null,
): ChargeSums {
  const { years, logs } = series;
  const count = years.length;
  const firstYear = years[0] as number;
  const firstLog = logs[0] as number;
  let weight = 0;
  let sumX = 0;
  let sumY = 0;
  let sumXX = 0;
  let sumXY = 0;
  if (level) {
    const y = level.mean - firstLog;
    weight = level.precision;
    sumX = weight * firstYear;
    sumY = weight * y;
    sumXX = weight * firstYear * firstYear;
    sumXY = weight * firstYear * y;
  }
  let logDeterminant = 0;
  let wanderOfOne = 0;
  let wanderOfX = 0;
  let wanderOfY = 0;
  let wanderVariance = 0;
  let before = firstYear;
  for (let i = 0; i < count; i++) {
    const year = years[i] as number;
    wanderVariance += wanderPerYear * (year - before);
    before = year;
    const variance = wanderVariance + 1;
    const one = 1 - wanderOfOne;
    const x = firstYear - year - wanderOfX;
    const y = (logs[i] as number) - firstLog - wanderOfY;
    const oneOver = one / variance;
    const xOver = x / variance;
    weight += one * oneOver;
    sumX += x * oneOver;
    sumY += y * oneOver;
    sumXX += x * xOver;
    sumXY += y * xOver;
    logDeterminant += variance === 1 ? 0 : Math.log(variance);
    const gain = wanderVariance / variance;
    wanderOfOne += gain * one;
    wanderOfX += gain * x;
    wanderOfY += gain * y;
    wanderVariance = gain;
  }
  const meanX = sumX / weight;
  const meanY = sumY / weight;
  return {
    readings: count,
    firstYear,
    firstLog,
    lastYear: before,
    weight,
    meanX,
    meanY,
    sumXX: sumXX - sumX * meanX,
    sumXY: sumXY - sumX * meanY,
    logDeterminant,
    wanderOfOne,
    wanderOfX,
    wanderOfY,
    wanderVariance,
  };
}

/**
 * Sum of the squared innovations of the residuals about the best line of slope `-loss`, the level's prior
 * included. A second pass over the readings: the difference of large sums would lose digits.
 */
export function residualSquares(
  series: ChargeSeries,
  sums: ChargeSums,
  loss: number,
  wanderPerYear: number,
  level: LevelPrior | null,
): number {
  const { years, logs } = series;
  const start = sums.firstLog + sums.meanY - loss * sums.meanX;
  let squares = 0;
  if (level) squares += level.precision * (level.mean - start - loss * sums.firstYear) ** 2;
  let wander = 0;
  let wanderVariance = 0;
  let before = sums.firstYear;
  for (let i = 0; i < years.length; i++) {
    const year = years[i] as number;
    wanderVariance += wanderPerYear * (year - before);
    before = year;
    const variance = wanderVariance + 1;
    const innovation = (logs[i] as number) - start + loss * (year - sums.firstYear) - wander;
    squares += (innovation * innovation) / variance;
    const gain = wanderVariance / variance;
    wander += gain * innovation;
    wanderVariance = gain;
  }
  return squares;
}
