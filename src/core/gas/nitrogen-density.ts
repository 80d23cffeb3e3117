import { startDelta } from './density-start';
import { emptyIsotherm, emptyTauPowers, fillIsotherm, fillTauPowers } from './nitrogen-isotherm';
import { solveDensity } from './solve-density';

// written before they are read within one call, so no result depends on an earlier one
const powers = emptyTauPowers();
const isotherm = emptyIsotherm();

/**
 * Molar density of nitrogen by the reference equation (source in `nitrogen-isotherm.ts`). Relative error of
 * the solution below 1e-10; not rounded.
 *
 * @param temperatureK above the critical 126.192 K; no range is checked
 * @returns mol/dm³
 */
export function nitrogenDensity(temperatureK: number, barAbs: number): number {
  fillTauPowers(powers, temperatureK);
  fillIsotherm(isotherm, powers);
  return solveDensity(isotherm, temperatureK, barAbs, startDelta(temperatureK, barAbs));
}
