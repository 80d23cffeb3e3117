import { logGamma } from '../shared/statistics-student';
import type { ChargeSeries } from './charge-sums';
import { type DecayPrior, decayPosterior } from './decay-posterior';

/** How readings scatter and lines wander, over the units of a type. */
export interface ErrorModel {
  readonly readingSd: number;
  readonly wanderPerYear: number;
  readonly degreesOfFreedom: number;
}

const DEGREES = [4, 6, 8, 12, 16, 24, 32, 48, 64, 100];
const SCALE_STEPS = 60;
// The wandering is tried in steps of a half up and down from the stated one: to a hundredth and a hundredfold.
const WANDER_STEP = 1.5;
const WANDER_STEPS = 11;
// Standard deviation of the logarithm of the wandering: a stated one is right within a factor of ten or so.
const WANDER_DOUBT = Math.log(10);

interface Residuals {
  readonly sumOfSquares: number;
  readonly degreesOfFreedom: number;
}

interface Likelihood extends ErrorModel {
  readonly value: number;
}

/**
 * Reading error, wandering and likeness of the units by restricted likelihood: with a loss and levels of its
 * own for each unit, what is left of its readings follows a multivariate Student t distribution. Units without
 * a reading to spare say nothing.
 *
 * Even hundreds of units tell the wandering only roughly. So its likelihood is joined with what was stated,
 * and the variances are averaged over what remains possible: the most likely wandering alone would be too small
 * as often as too large, and the intervals of far days with it.
 *
 * Source: H. D. Patterson, R. Thompson, Recovery of inter-block information when block sizes are unequal,
 * Biometrika 58 (1971), 545-554; the variance of a unit integrated out over its inverse-gamma distribution.
 *
 * @param statedWander of the programme's own model, per year; at zero nothing wanders
 * @returns null where no unit has a reading to spare, or none of them scatters
 */
export function errorModel(
  units: readonly (readonly ChargeSeries[])[],
  statedWander: number,
): ErrorModel | null {
  const steps = statedWander > 0 ? WANDER_STEPS : 0;
  const tried: Likelihood[] = [];
  for (let step = -steps; step <= steps; step++) {
    const likelihood = likelihoodAt(units, statedWander * WANDER_STEP ** step);
    if (!likelihood) return null;
    const distance = (step * Math.log(WANDER_STEP)) / WANDER_DOUBT;
    tried.push({ ...likelihood, value: likelihood.value - (distance * distance) / 2 });
  }
  const best = tried.reduce((a, b) => (b.value > a.value ? b : a));
  let [weights, variance, wander] = [0, 0, 0];
  for (const { value, readingSd, wanderPerYear } of tried) {
    const weight = Math.exp(value - best.value);
    weights += weight;
    variance += weight * readingSd * readingSd;
    wander += weight * readingSd * readingSd * wanderPerYear;
  }
  return {
    readingSd: Math.sqrt(variance / weights),
    wanderPerYear: wander / variance,
    degreesOfFreedom: best.degreesOfFreedom,
  };
}

/** The prior that says nothing, for a unit's line by its own readings alone. */
export function flatPrior(wanderPerYear: number): DecayPrior {
  return { lossMean: 0, lossPrecision: 0, degreesOfFreedom: 0, sumOfSquares: 0, wanderPerYear, level: null };
}

function likelihoodAt(units: readonly (readonly ChargeSeries[])[], wanderPerYear: number): Likelihood | null {
  const residuals: Residuals[] = [];
  let logDeterminants = 0;
  for (const unit of units) {
    const fit = decayPosterior(unit, flatPrior(wanderPerYear));
    if (!fit) continue;
    logDeterminants += Math.log(fit.posterior.lossPrecision);
    for (const { logDeterminant, weight } of fit.charges)
      logDeterminants += logDeterminant + Math.log(weight);
    residuals.push({
      sumOfSquares: fit.sumOfSquares,
      degreesOfFreedom: fit.posterior.degreesOfFreedom,
    });
  }
  if (!(residuals.reduce((sum, each) => sum + each.sumOfSquares, 0) > 0)) return null;
  let best: Likelihood | null = null;
  let variance = varianceOf(residuals, Infinity, 1);
  for (let i = DEGREES.length - 1; i >= 0; i--) {
    const degreesOfFreedom = DEGREES[i] as number;
    variance = varianceOf(residuals, degreesOfFreedom, variance);
    const value = studentLikelihood(residuals, degreesOfFreedom, variance) - logDeterminants / 2;
    if (!best || value > best.value)
      best = { value, readingSd: Math.sqrt(variance), wanderPerYear, degreesOfFreedom };
  }
  return best;
}

// Fixed point of the likelihood equation: each unit counts less the more it scatters.
function varianceOf(residuals: readonly Residuals[], prior: number, start: number): number {
  let degrees = 0;
  for (const each of residuals) degrees += each.degreesOfFreedom;
  let variance = start;
  for (let step = 0; step < SCALE_STEPS; step++) {
    let sum = 0;
    for (const each of residuals) {
      const weight =
        prior === Infinity ? 1 : (prior + each.degreesOfFreedom) / (prior + each.sumOfSquares / variance);
      sum += weight * each.sumOfSquares;
    }
    const next = sum / degrees;
    const isSettled = Math.abs(next - variance) <= 1e-10 * variance;
    variance = next;
    if (isSettled) break;
  }
  return variance;
}

function studentLikelihood(residuals: readonly Residuals[], prior: number, variance: number): number {
  let value = 0;
  // units of a type have few different numbers of readings
  const constants = new Map<number, number>();
  for (const { sumOfSquares, degreesOfFreedom } of residuals) {
    const both = prior + degreesOfFreedom;
    let constant = constants.get(degreesOfFreedom);
    if (constant === undefined) {
      const gammas = logGamma(both / 2) - logGamma(prior / 2);
      constant = gammas - (degreesOfFreedom / 2) * Math.log(prior * variance);
      constants.set(degreesOfFreedom, constant);
    }
    value += constant - (both / 2) * Math.log1p(sumOfSquares / (prior * variance));
  }
  return value;
}
