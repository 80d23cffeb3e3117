import { InputError } from '../shared/input-error';
import { ATMOSPHERE_BAR } from '../shared/units-of-measure';

const LOWEST_ALTITUDE_M = -500;
const HIGHEST_ALTITUDE_M = 5_000;

/**
 * Ambient pressure at a height above sea level by the standard atmosphere, bar:
 * p = 1.01325 (1 - 0.0065 H / 288.15)^(9.80665 / (287.05287 * 0.0065)). Weather moves the true pressure by up
 * to about 0.04 bar around it.
 *
 * Source: ISO 2533, Standard Atmosphere, layer from 0 to 11 km; H is the geopotential height, which differs
 * from the geometric one by less than 4 m in this range.
 *
 * @param altitudeM -500 to 5,000 m
 * @throws InputError naming `altitudeM`
 */
export function standardAtmosphereBar(altitudeM: number): number {
  if (!(altitudeM >= LOWEST_ALTITUDE_M && altitudeM <= HIGHEST_ALTITUDE_M)) {
    throw new InputError(
      'altitudeM',
      `${altitudeM} m is outside ${LOWEST_ALTITUDE_M} to ${HIGHEST_ALTITUDE_M} m`,
      'give the height above sea level in metres, or the ambient pressure instead',
    );
  }
  return ATMOSPHERE_BAR * (1 - (0.0065 * altitudeM) / 288.15) ** (9.80665 / (287.05287 * 0.0065));
}
