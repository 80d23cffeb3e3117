import { assert } from '../shared/assert';
import { CRITICAL_DENSITY_MOL_PER_DM3 } from './nitrogen-constants';
import type { Isotherm } from './nitrogen-isotherm';
import { fillEnergyAt, idealPressure } from './nitrogen-pressure';
import { emptyResidualEnergy } from './residual-energy';

// The last correction; what is left after it is its square, times about one.
const LAST_CORRECTION = 1e-6;
// beyond the density of the liquid at its densest
const DENSEST_DELTA = 3.5;

// written before it is read within one call, so no result depends on an earlier one
const energy = emptyResidualEnergy();

/**
 * The density at which an isotherm reaches a pressure: Newton's method on the logarithm of the density, kept
 * inside a bracket. Relative error below 1e-10.
 *
 * @param isotherm of `temperatureK`, which is above the critical 126.192 K: one density for each pressure
 * @param startDelta first guess of the reduced density
 * @returns mol/dm³
 */
export function solveDensity(
  isotherm: Isotherm,
  temperatureK: number,
  barAbs: number,
  startDelta: number,
): number {
  const target = barAbs / idealPressure(temperatureK, CRITICAL_DENSITY_MOL_PER_DM3);
  let low = 0;
  let high = DENSEST_DELTA;
  let delta = startDelta;
  for (let round = 0; round < 100; round++) {
    fillEnergyAt(energy, isotherm, temperatureK, delta);
    const reached = delta * (1 + energy.slope);
    if (reached < target) low = delta;
    else high = delta;
    const correction = (target - reached) / (reached + delta * energy.curvature);
    if (Math.abs(correction) < LAST_CORRECTION) {
      return delta * (1 + correction) * CRITICAL_DENSITY_MOL_PER_DM3;
    }
    const next = delta * (1 + correction);
    delta = next > low && next < high ? next : (low + high) / 2;
  }
  assert(false, `no density of nitrogen at ${temperatureK} K and ${barAbs} bar absolute`);
}
