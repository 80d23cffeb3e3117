import {
  type ChargeSeries,
  type ChargeSums,
  chargeSums,
  type LevelPrior,
  residualSquares,
} from './charge-sums';

/**
 * Normal-inverse-gamma prior of a unit's line: given the reading variance v, the yearly loss is normal with
 * variance `v / lossPrecision`; v itself is `sumOfSquares` over a chi-squared value of `degreesOfFreedom`.
 * A precision of zero is a flat prior.
 */
export interface DecayPrior {
  readonly lossMean: number;
  readonly lossPrecision: number;
  readonly degreesOfFreedom: number;
  readonly sumOfSquares: number;
  readonly wanderPerYear: number;
  /** Of the line of the last charge; null where the level is only known from readings. */
  readonly level: LevelPrior | null;
}

/**
 * What is known of a unit's line after its last reading, a plain object. With u the years since then, the
 * logarithm of the absolute pressure follows a Student t distribution about `level - loss * u` with the squared
 * scale `scale^2 * (levelVariance + wanderPerYear * u + (leverYears + u)^2 / lossPrecision)`.
 */
export interface DecayPosterior {
  readonly lastYear: number;
  readonly level: number;
  readonly levelVariance: number;
  /** Fall of the logarithm in a year. */
  readonly loss: number;
  readonly lossPrecision: number;
  readonly leverYears: number;
  readonly wanderPerYear: number;
  /** Square root of the estimate of the reading variance. */
  readonly scale: number;
  readonly degreesOfFreedom: number;
}

/** The sums of the charges and the residual squares beside the posterior, for those who learn from many units. */
export interface DecayFit {
  readonly posterior: DecayPosterior;
  readonly charges: readonly ChargeSums[];
  readonly sumOfSquares: number;
}

/**
 * Posterior of a unit's line from the readings of its charges, closed form.
 *
 * All charges share the loss; each has a level and a wandering of its own. A level without a prior costs a
 * degree of freedom, and so does a loss with a flat prior: with flat priors and no wandering, one charge gives
 * ordinary least squares.
 *
 * Source of the algebra: normal-inverse-gamma conjugacy of the linear model (A. Gelman et al., Bayesian Data
 * Analysis, 3rd ed., section 14.2), with the covariance of `chargeSums`.
 *
 * @param charges earliest first, none of them without a reading
 * @returns null where neither prior nor readings tell the loss or the variance
 */
export function decayPosterior(charges: readonly ChargeSeries[], prior: DecayPrior): DecayFit | null {
  const { wanderPerYear } = prior;
  const last = charges.length - 1;
  const sums: ChargeSums[] = [];
  let precision = prior.lossPrecision;
  let weighted = prior.lossPrecision * prior.lossMean;
  let degreesOfFreedom = prior.degreesOfFreedom - (prior.lossPrecision === 0 ? 1 : 0);
  for (let i = 0; i <= last; i++) {
    const level = i === last ? prior.level : null;
    const one = chargeSums(charges[i] as ChargeSeries, wanderPerYear, level);
    sums.push(one);
    precision += one.sumXX;
    weighted += one.sumXY;
    degreesOfFreedom += one.readings - (level ? 0 : 1);
  }
  const current = sums[last];
  if (!current || !(precision > 0) || !(degreesOfFreedom > 0)) return null;
  const loss = weighted / precision;
  let sumOfSquares = prior.sumOfSquares + prior.lossPrecision * (loss - prior.lossMean) ** 2;
  for (let i = 0; i <= last; i++) {
    const level = i === last ? prior.level : null;
    const series = charges[i] as ChargeSeries;
    sumOfSquares += residualSquares(series, sums[i] as ChargeSums, loss, wanderPerYear, level);
  }
  const ofOne = 1 - current.wanderOfOne;
  const leverYears = current.lastYear - current.firstYear + current.wanderOfX + ofOne * current.meanX;
  const posterior = {
    lastYear: current.lastYear,
    level: current.firstLog + ofOne * current.meanY + current.wanderOfY - loss * leverYears,
    levelVariance: (ofOne * ofOne) / current.weight + current.wanderVariance,
    loss,
    lossPrecision: precision,
    leverYears,
    wanderPerYear,
    scale: Math.sqrt(sumOfSquares / degreesOfFreedom),
    degreesOfFreedom,
  };
  return { posterior, charges: sums, sumOfSquares };
}
