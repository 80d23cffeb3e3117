import { InputError } from '../shared/input-error';
import { ATMOSPHERE_BAR } from '../shared/units-of-measure';
import { standardAtmosphereBar } from './standard-atmosphere';

/** Where a gauge was read: a gauge shows the pressure above the ambient one. Give one of the two, or none. */
export interface Ambient {
  /** Ambient pressure in bar absolute; 1.01325 by default. */
  readonly ambientBar?: number | undefined;
  /** Height above sea level in metres, from which the standard atmosphere gives the ambient pressure. */
  readonly altitudeM?: number | undefined;
}

// Half an atmosphere is 5,500 m up; the weather at sea level stays below 1.1 bar.
const LOWEST_AMBIENT_BAR = 0.5;
const HIGHEST_AMBIENT_BAR = 1.1;

/**
 * The ambient pressure that gauge pressures are counted from, bar absolute.
 *
 * @throws InputError naming `ambientBar` outside 0.5 to 1.1 bar or given together with `altitudeM`
 */
export function ambientBarOf({ ambientBar, altitudeM }: Ambient): number {
  if (altitudeM !== undefined) {
    if (ambientBar !== undefined) {
      throw new InputError('ambientBar', 'both the ambient pressure and the altitude are given', 'give one');
    }
    return standardAtmosphereBar(altitudeM);
  }
  if (ambientBar === undefined) return ATMOSPHERE_BAR;
  if (!(ambientBar >= LOWEST_AMBIENT_BAR && ambientBar <= HIGHEST_AMBIENT_BAR)) {
    throw new InputError(
      'ambientBar',
      `${ambientBar} bar is outside ${LOWEST_AMBIENT_BAR} to ${HIGHEST_AMBIENT_BAR} bar`,
      'give the barometer reading at the place (not reduced to sea level) in bar: 1,000 hPa is 1 bar',
    );
  }
  return ambientBar;
}
