import { kelvinFromCelsius } from '../shared/units-of-measure';
import type { PressureSpan } from './gas-unit';
import { gasStateAt, isentropicStateAt } from './isentrope';
import { REFERENCE_TEMPERATURE_K } from './nitrogen-constants';
import { nitrogenPressure } from './nitrogen-pressure';

/**
 * Precharge at 20 °C that would explain a volume given between two pressures. The truth lies between the gas
 * keeping its temperature (the low estimate) and taking no heat at all (the high one).
 */
export interface PrechargeBracket {
  readonly lowBarGauge: number;
  readonly highBarGauge: number;
  /** The high estimate is held at the low pressure of the span, because no precharge gives more volume. */
  readonly isHighCapped: boolean;
}

/**
 * Solves the delivered volume for the amount of gas, and that for the precharge. Only precharges up to the low
 * pressure at the gas temperature are looked at: above it the unit bottoms, and the volume falls again. A
 * precharge below the ambient pressure comes out as zero. Not rounded.
 *
 * @returns null when even the slow discharge of a unit charged to the low pressure gives less
 * @throws InputError naming `lowField` when the fast expansion would nearly liquefy the gas
 */
export function prechargeFromUsableVolume(
  usableL: number,
  gasVolumeL: number,
  { lowBarAbs, highBarAbs }: PressureSpan,
  gasTemperatureC: number,
  ambientBar: number,
  lowField: string,
): PrechargeBracket | null {
  const temperatureK = kelvinFromCelsius(gasTemperatureC);
  const full = gasStateAt(temperatureK, highBarAbs);
  const slowEnd = gasStateAt(temperatureK, lowBarAbs);
  const fastEnd = isentropicStateAt(full, lowBarAbs, lowField);
  const restDensity = (endDensity: number) =>
    usableL / gasVolumeL / (1 / endDensity - 1 / full.densityMolPerDm3);
  const slow = restDensity(slowEnd.densityMolPerDm3);
  const fast = restDensity(fastEnd.densityMolPerDm3);
  const densest = slowEnd.densityMolPerDm3;
  if (slow > densest) return null;
  const gauge = (density: number) =>
    Math.max(0, nitrogenPressure(REFERENCE_TEMPERATURE_K, density) - ambientBar);
  return {
    lowBarGauge: gauge(slow),
    highBarGauge: gauge(Math.min(fast, densest)),
    isHighCapped: fast > densest,
  };
}
