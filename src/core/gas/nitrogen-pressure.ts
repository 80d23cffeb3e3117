import { criticalTerms, CRITICAL_TERMS_END_K } from './critical-terms';
import {
  CRITICAL_DENSITY_MOL_PER_DM3,
  GAS_CONSTANT_J_PER_MOL_K,
  REFERENCE_TEMPERATURE_K,
} from './nitrogen-constants';
import { type Isotherm, isothermAt } from './nitrogen-isotherm';
import { emptyResidualEnergy, fillResidualEnergy, type ResidualEnergy } from './residual-energy';

// J/dm³ is kPa
const BAR_PER_DENSITY_AND_K = GAS_CONSTANT_J_PER_MOL_K / 100;
const REFERENCE_ISOTHERM = isothermAt(REFERENCE_TEMPERATURE_K);
// written before it is read within one call, so no result depends on an earlier one
const energy = emptyResidualEnergy();

/**
 * Absolute pressure of nitrogen, p = rho R T (1 + delta d(alphar)/d(delta)), by the reference equation (source
 * in `nitrogen-isotherm.ts`). No range is checked; not rounded.
 *
 * @returns bar absolute
 */
export function nitrogenPressure(temperatureK: number, densityMolPerDm3: number): number {
  const isotherm = temperatureK === REFERENCE_TEMPERATURE_K ? REFERENCE_ISOTHERM : isothermAt(temperatureK);
  const delta = densityMolPerDm3 / CRITICAL_DENSITY_MOL_PER_DM3;
  fillEnergyAt(energy, isotherm, temperatureK, delta);
  return idealPressure(temperatureK, densityMolPerDm3) * (1 + energy.slope);
}

/** Absolute pressure by the ideal-gas law with the reference equation's gas constant, bar. */
export function idealPressure(temperatureK: number, densityMolPerDm3: number): number {
  return densityMolPerDm3 * BAR_PER_DENSITY_AND_K * temperatureK;
}

/** Fills `into` with the residual energy of all terms at a temperature whose isotherm is at hand. */
export function fillEnergyAt(
  into: ResidualEnergy,
  isotherm: Isotherm,
  temperatureK: number,
  delta: number,
): void {
  fillResidualEnergy(into, isotherm, delta);
  if (temperatureK >= CRITICAL_TERMS_END_K) return;
  for (const term of criticalTerms(temperatureK, delta)) {
    into.value += term.value;
    into.slope += term.value * term.byDelta;
    into.curvature += term.value * term.byDeltaTwice;
  }
}
