import { kelvinFromCelsius } from '../shared/units-of-measure';
import { type Ambient, ambientBarOf } from './ambient-pressure';
import { ADVICE_NOT_A_CERTIFICATE, type GasCaution } from './gas-cautions';
import { type GasCharge, gasChargeOf, type GasUnit, pressureSpan } from './gas-unit';
import { idealDeliveredVolume, type IdealDeliveredVolume } from './ideal-delivered-volume';
import { gasStateAt, isentropicStateAt } from './isentrope';
import { REFERENCE_TEMPERATURE_K } from './nitrogen-constants';
import { GAS_VALIDITY, requireTemperatureInRange } from './nitrogen-limits';

/** A unit that gives fluid between two pressures. */
export interface DeliveredVolumeInput extends GasUnit, Ambient {
  readonly lowBarGauge: number;
  readonly highBarGauge: number;
  /** Temperature of the gas at the high pressure; 20 by default. */
  readonly gasTemperatureC?: number | undefined;
}

/** Volume that a unit gives between two pressures, by the real gas. */
export interface RealDeliveredVolume {
  /** So slow that the gas keeps its temperature, litres. */
  readonly isothermalL: number;
  /** Charged slowly, then discharged at once (constant entropy), litres. */
  readonly fastL: number;
  /** Gas temperature after the fast discharge, °C. */
  readonly fastEndTemperatureC: number;
  /** n of p V^n = constant between the two ends of the fast discharge; null when nothing is delivered. */
  readonly fastEffectiveExponent: number | null;
  /** The precharge at the gas temperature is above the low pressure: the unit gives nothing below it. */
  readonly isBottomed: boolean;
  /** Where the discharge ends: the low pressure, or the precharge of a unit that has bottomed. */
  readonly lowEndBarAbs: number;
}

export interface DeliveredVolume extends RealDeliveredVolume {
  readonly ideal: IdealDeliveredVolume;
  readonly method: string;
  readonly validity: string;
  readonly cautions: readonly GasCaution[];
}

const METHOD =
  'Amount of gas from precharge and volume at 20 °C; gas volume at both pressures by the density of nitrogen: ' +
  'slow at constant temperature, fast at constant entropy from the high pressure. Below the precharge a unit ' +
  'gives nothing. Ideal formulas for comparison only.';

/**
 * The volume that a gas unit gives from a high pressure down to a low one, slowly and at once. Not rounded.
 *
 * @param fields what the two pressures are called where they come from, for errors
 * @throws InputError naming the input: outside the range of the gas calculations, the low pressure not below
 *   the high one, or an expansion that would nearly liquefy the gas
 */
export function deliveredVolume(
  input: DeliveredVolumeInput,
  fields: readonly [low: string, high: string] = ['lowBarGauge', 'highBarGauge'],
): DeliveredVolume {
  const gasTemperatureC = input.gasTemperatureC ?? 20;
  requireTemperatureInRange(gasTemperatureC, 'gasTemperatureC');
  const ambientBar = ambientBarOf(input);
  const { lowBarAbs, highBarAbs } = pressureSpan(input.lowBarGauge, input.highBarGauge, ambientBar, fields);
  const charge = gasChargeOf(input, gasTemperatureC, ambientBar);
  const real = realDeliveredVolume(charge, gasTemperatureC, lowBarAbs, highBarAbs, fields[0]);
  const idealRest = (charge.precharge20BarAbs * kelvinFromCelsius(gasTemperatureC)) / REFERENCE_TEMPERATURE_K;
  const idealLow = Math.max(lowBarAbs, idealRest);
  const idealHigh = Math.max(highBarAbs, idealLow);
  return {
    ...real,
    ideal: idealDeliveredVolume(charge.gasVolumeL, idealRest, idealLow, idealHigh),
    method: METHOD,
    validity: GAS_VALIDITY,
    cautions: [ADVICE_NOT_A_CERTIFICATE],
  };
}

/**
 * The same for a charge and pressures that have been checked.
 *
 * @param lowField input to be named when the expansion is too long
 * @throws InputError naming `lowField`
 */
export function realDeliveredVolume(
  charge: GasCharge,
  gasTemperatureC: number,
  lowBarAbs: number,
  highBarAbs: number,
  lowField: string,
): RealDeliveredVolume {
  const isBottomed = charge.restBarAbs > lowBarAbs;
  const lowEndBarAbs = isBottomed ? charge.restBarAbs : lowBarAbs;
  if (lowEndBarAbs >= highBarAbs) {
    const nothing = { isothermalL: 0, fastL: 0, fastEffectiveExponent: null };
    return { ...nothing, fastEndTemperatureC: gasTemperatureC, isBottomed, lowEndBarAbs };
  }
  const temperatureK = kelvinFromCelsius(gasTemperatureC);
  const full = gasStateAt(temperatureK, highBarAbs);
  const slowEnd = gasStateAt(temperatureK, lowEndBarAbs);
  const fastEnd = isentropicStateAt(full, lowEndBarAbs, lowField);
  const volumeAt = (density: number) => charge.amountMol / density;
  return {
    isothermalL: volumeAt(slowEnd.densityMolPerDm3) - volumeAt(full.densityMolPerDm3),
    fastL: volumeAt(fastEnd.densityMolPerDm3) - volumeAt(full.densityMolPerDm3),
    fastEndTemperatureC: fastEnd.temperatureK - kelvinFromCelsius(0),
    fastEffectiveExponent:
      Math.log(highBarAbs / lowEndBarAbs) / Math.log(full.densityMolPerDm3 / fastEnd.densityMolPerDm3),
    isBottomed,
    lowEndBarAbs,
  };
}
