import { InputError } from '../shared/input-error';

/** An estimate from one source, with the variance of its error. */
export interface StudyEstimate {
  readonly value: number;
  readonly variance: number;
}

/** Mean over the sources, its standard error, and the variance of the true values between them. */
export interface RandomEffects {
  readonly mean: number;
  readonly standardError: number;
  readonly betweenVariance: number;
  /** Cochran's Q and its degrees of freedom. */
  readonly q: number;
  readonly degreesOfFreedom: number;
}

/**
 * Random-effects summary by the method of moments: the variance between sources is what Cochran's Q has beyond
 * its expectation, at least zero.
 *
 * Source: R. DerSimonian, N. Laird, Meta-analysis in clinical trials, Controlled Clinical Trials 7 (1986),
 * 177-188.
 *
 * @throws InputError naming `studies` for fewer than two, or a variance that is not above zero
 */
export function randomEffects(studies: readonly StudyEstimate[]): RandomEffects {
  if (studies.length < 2 || studies.some(({ variance }) => !(variance > 0))) {
    throw new InputError('studies', 'too few estimates', 'give two or more, each with a variance above zero');
  }
  const fixed = weightedMean(studies, 0);
  let q = 0;
  let sumOfSquaredWeights = 0;
  for (const { value, variance } of studies) {
    q += (value - fixed.mean) ** 2 / variance;
    sumOfSquaredWeights += 1 / (variance * variance);
  }
  const degreesOfFreedom = studies.length - 1;
  const excess = (q - degreesOfFreedom) / (fixed.weight - sumOfSquaredWeights / fixed.weight);
  const betweenVariance = Math.max(0, excess);
  const { mean, weight } = weightedMean(studies, betweenVariance);
  return { mean, standardError: Math.sqrt(1 / weight), betweenVariance, q, degreesOfFreedom };
}

function weightedMean(studies: readonly StudyEstimate[], betweenVariance: number) {
  let weight = 0;
  let sum = 0;
  for (const { value, variance } of studies) {
    const one = 1 / (variance + betweenVariance);
    weight += one;
    sum += one * value;
  }
  return { mean: sum / weight, weight };
}
