import { kelvinFromCelsius } from '../shared/units-of-measure';
import { MOLAR_MASS_G_PER_MOL } from './nitrogen-constants';
import { nitrogenDensity } from './nitrogen-density';
import { requireBarAbsInRange, requireTemperatureInRange } from './nitrogen-limits';
import { nitrogenProperties, type NitrogenProperties } from './nitrogen-properties';

/** Nitrogen at a temperature and pressure within the range of the calculations. */
export interface NitrogenState extends NitrogenProperties {
  readonly densityMolPerDm3: number;
  readonly densityKgPerM3: number;
}

/**
 * Density and properties of nitrogen at a temperature and an absolute pressure, by the reference equation
 * (source in `nitrogen-isotherm.ts`). Not rounded.
 *
 * @throws InputError naming `gasTemperatureC` or `pressureBarAbs` and the limit
 */
export function nitrogenState(gasTemperatureC: number, pressureBarAbs: number): NitrogenState {
  requireTemperatureInRange(gasTemperatureC, 'gasTemperatureC');
  requireBarAbsInRange(pressureBarAbs, 'pressureBarAbs');
  const temperatureK = kelvinFromCelsius(gasTemperatureC);
  const densityMolPerDm3 = nitrogenDensity(temperatureK, pressureBarAbs);
  return {
    ...nitrogenProperties(temperatureK, densityMolPerDm3),
    densityMolPerDm3,
    // mol/dm³ times g/mol is kg/m³
    densityKgPerM3: densityMolPerDm3 * MOLAR_MASS_G_PER_MOL,
  };
}
