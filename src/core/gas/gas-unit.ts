import { InputError } from '../shared/input-error';
import { kelvinFromCelsius } from '../shared/units-of-measure';
import { REFERENCE_TEMPERATURE_K } from './nitrogen-constants';
import { nitrogenDensity } from './nitrogen-density';
import { requireAboveZero, requireBarAbsInRange } from './nitrogen-limits';
import { nitrogenPressure } from './nitrogen-pressure';

/** What a gas unit holds: its gas volume with no fluid in it, and the gauge pressure of the gas then, at 20 °C. */
export interface GasUnit {
  readonly gasVolumeL: number;
  readonly precharge20BarGauge: number;
}

/** A gas unit at the temperature of its gas. */
export interface GasCharge {
  readonly gasVolumeL: number;
  readonly amountMol: number;
  /** Absolute pressure of the precharge at 20 °C. */
  readonly precharge20BarAbs: number;
  /** Density of the gas with no fluid in the unit: as low as it gets. */
  readonly restDensityMolPerDm3: number;
  /** Absolute pressure with no fluid in the unit at the gas temperature: below it the diaphragm is on its stop. */
  readonly restBarAbs: number;
}

/**
 * The gas in a unit: amount and pressure at rest at another temperature than 20 °C. The gas space is taken as
 * rigid.
 *
 * @param field where the unit stands in the input; its parts are named behind it
 * @throws InputError naming `gasVolumeL` or `precharge20BarGauge`
 */
export function gasChargeOf(
  unit: GasUnit,
  gasTemperatureC: number,
  ambientBar: number,
  field = '',
): GasCharge {
  requireAboveZero(unit.gasVolumeL, `${field}gasVolumeL`, 'litres');
  const precharge20BarAbs = unit.precharge20BarGauge + ambientBar;
  requireBarAbsInRange(precharge20BarAbs, `${field}precharge20BarGauge`);
  const density = nitrogenDensity(REFERENCE_TEMPERATURE_K, precharge20BarAbs);
  return {
    gasVolumeL: unit.gasVolumeL,
    amountMol: density * unit.gasVolumeL,
    precharge20BarAbs,
    restDensityMolPerDm3: density,
    restBarAbs: nitrogenPressure(kelvinFromCelsius(gasTemperatureC), density),
  };
}

/** Two gauge pressures as absolute ones, the low below the high. */
export interface PressureSpan {
  readonly lowBarAbs: number;
  readonly highBarAbs: number;
}

/**
 * @throws InputError naming `lowField` or `highField`, out of range or the wrong way round
 */
export function pressureSpan(
  lowBarGauge: number,
  highBarGauge: number,
  ambientBar: number,
  [lowField, highField]: readonly [string, string],
): PressureSpan {
  const lowBarAbs = lowBarGauge + ambientBar;
  const highBarAbs = highBarGauge + ambientBar;
  requireBarAbsInRange(lowBarAbs, lowField);
  requireBarAbsInRange(highBarAbs, highField);
  if (lowBarAbs >= highBarAbs) {
    throw new InputError(
      lowField,
      `${lowBarGauge} bar is not below ${highBarGauge} bar (${highField})`,
      'give the lower of the two pressures here',
    );
  }
  return { lowBarAbs, highBarAbs };
}
