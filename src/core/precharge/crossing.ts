import { studentCdf } from '../shared/statistics-student';
import type { DecayPosterior } from './decay-posterior';

/**
 * Years after the last reading from which on the pressure is below a level with the probability whose Student t
 * quantile is `t`; 0 where it is so already, null where it never is: then even the slowest loss in
 * question is none.
 *
 * It solves `logLevel - level + loss u = t scale sqrt(variance at u)`, squared: a quadratic, Fieller's algebra
 * with the wandering as a linear term. Where the probability falls again later, because the forecast gets less
 * sure, the first passage counts.
 *
 * Source: E. C. Fieller, Some problems in interval estimation, J. R. Statist. Soc. B 16 (1954), 175-185.
 *
 * @param logLevel logarithm of the absolute pressure of the level
 */
export function yearsUntilBelow(decay: DecayPosterior, logLevel: number, t: number): number | null {
  const { loss, levelVariance, leverYears, lossPrecision, wanderPerYear } = decay;
  const gap = logLevel - decay.level;
  const square = t * t * decay.scale * decay.scale;
  // (gap + loss u)^2 = square (levelVariance + wander u + (lever + u)^2 / precision)
  const c = gap * gap - square * (levelVariance + (leverYears * leverYears) / lossPrecision);
  const startsBelow = gap >= 0 ? t <= 0 || c >= 0 : t < 0 && c <= 0;
  if (startsBelow) return 0;
  if (t === 0) return loss > 0 ? -gap / loss : null;
  const a = loss * loss - square / lossPrecision;
  const halfB = gap * loss - square * (wanderPerYear / 2 + leverYears / lossPrecision);
  const discriminant = halfB * halfB - a * c;
  if (discriminant < 0) return null;
  const root = Math.sqrt(discriminant);
  // both roots without cancellation
  const q = halfB > 0 ? -halfB - root : -halfB + root;
  return earlierRoot(c / q, q / a, gap, loss, t);
}

/** Probability that the pressure is below a level some years after the last reading. */
export function probabilityBelowAfter(decay: DecayPosterior, logLevel: number, years: number): number {
  const gap = logLevel - decay.level + decay.loss * years;
  return studentCdf(gap / scaleAfter(decay, years), decay.degreesOfFreedom);
}

/** Scale of the Student t distribution of the logarithm some years after the last reading. */
export function scaleAfter(decay: DecayPosterior, years: number): number {
  const lever = decay.leverYears + years;
  return (
    decay.scale *
    Math.sqrt(decay.levelVariance + decay.wanderPerYear * years + (lever * lever) / decay.lossPrecision)
  );
}

// of the roots that lie ahead, the first at which the level is passed on the side that t asks for
function earlierRoot(one: number, other: number, gap: number, loss: number, t: number): number | null {
  const first = Math.min(one, other);
  const second = Math.max(one, other);
  if (first > 0 && first < Infinity && (gap + loss * first) * t > 0) return first;
  return second > 0 && second < Infinity && (gap + loss * second) * t > 0 ? second : null;
}
