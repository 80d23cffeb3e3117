import { CRITICAL_TEMPERATURE_K } from './nitrogen-constants';

/** One Gaussian term and what the operators delta d/d(delta) and tau d/d(tau) multiply it by. */
export interface CriticalTerm {
  readonly value: number;
  readonly byDelta: number;
  readonly byDeltaTwice: number;
  readonly byTau: number;
  readonly byTauTwice: number;
}

/**
 * From here upwards the Gaussian terms are below 1e-32 of the others and change no digit of any result, so
 * they are left out there.
 */
export const CRITICAL_TERMS_END_K = 200;

// N, i, j, phi, beta, gamma of terms 33 to 36; source in nitrogen-isotherm.ts
const GAUSSIANS = [
  [19.6688194015, 1, 0, 20, 325, 1.16],
  [-20.911560073, 1, 1, 20, 325, 1.16],
  [0.0167788306989, 3, 2, 15, 300, 1.13],
  [2627.67566274, 2, 3, 25, 275, 1.25],
] as const;

/**
 * The four terms that shape the neighbourhood of the critical point:
 * N delta^i tau^j exp(-phi (delta - 1)² - beta (tau - gamma)²). None at or above `CRITICAL_TERMS_END_K`.
 */
export function criticalTerms(temperatureK: number, delta: number): CriticalTerm[] {
  if (temperatureK >= CRITICAL_TERMS_END_K) return [];
  const tau = CRITICAL_TEMPERATURE_K / temperatureK;
  return GAUSSIANS.map(([n, i, j, phi, beta, gamma]) => {
    const value = n * delta ** i * tau ** j * Math.exp(-phi * (delta - 1) ** 2 - beta * (tau - gamma) ** 2);
    const byDelta = i - 2 * phi * delta * (delta - 1);
    const byTau = j - 2 * beta * tau * (tau - gamma);
    return {
      value,
      byDelta,
      byDeltaTwice: byDelta ** 2 - 2 * phi * delta * (2 * delta - 1),
      byTau,
      byTauTwice: byTau ** 2 - 2 * beta * tau * (2 * tau - gamma),
    };
  });
}
