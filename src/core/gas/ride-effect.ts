import { InputError } from '../shared/input-error';
import { kelvinFromCelsius } from '../shared/units-of-measure';
import { type Ambient, ambientBarOf } from './ambient-pressure';
import { ADVICE_NOT_A_CERTIFICATE, type GasCaution } from './gas-cautions';
import { type GasCharge, gasChargeOf, type GasUnit } from './gas-unit';
import { IDEAL_EXPONENT } from './ideal-delivered-volume';
import { REFERENCE_TEMPERATURE_K } from './nitrogen-constants';
import { nitrogenDensity } from './nitrogen-density';
import {
  GAS_VALIDITY,
  requireAboveZero,
  requireBarAbsInRange,
  requireTemperatureInRange,
} from './nitrogen-limits';
import { nitrogenProperties } from './nitrogen-properties';

/** A suspension unit under a static load. */
export interface RideInput extends GasUnit, Ambient {
  /** Precharge that the unit should have, gauge at 20 °C. */
  readonly nominalPrecharge20BarGauge: number;
  /** Mass that rests on the unit. */
  readonly carriedMassKg: number;
  /** Bore of the cylinder that the load acts on. */
  readonly boreMm: number;
  readonly gasTemperatureC?: number | undefined;
}

/** A gas spring at its static load. */
export interface GasSpring {
  readonly gasVolumeL: number;
  /** n of the quick movement; 1.4 for the ideal gas. */
  readonly exponent: number;
  /** k = n p A² / V. */
  readonly rateNPerM: number;
  /** Natural frequency sqrt(k/m) / (2 pi). */
  readonly frequencyHz: number;
}

/** How a unit's precharge changes the ride. */
export interface RideEffect {
  readonly pressureBarAbs: number;
  /** Settled slowly, moving fast, by the real gas. */
  readonly spring: GasSpring;
  /** By the ideal-gas law, for comparison only. */
  readonly idealSpring: GasSpring;
  /** Natural frequency against that with the nominal precharge; above 1 is harder. Null where it has none. */
  readonly frequencyRatio: number | null;
  /** sqrt(nominal / present precharge), both absolute: the ideal gas. Null as above. */
  readonly idealFrequencyRatio: number | null;
  /** Bump travel that is left, as a share of that with the nominal precharge. Null as above. */
  readonly bumpTravelShare: number | null;
  /** Movement until the whole gas volume would be used up. */
  readonly bumpTravelMm: number;
  readonly sentence: string;
  readonly method: string;
  readonly validity: string;
  readonly cautions: readonly GasCaution[];
}

const STANDARD_GRAVITY_M_PER_S2 = 9.80665;

const METHOD =
  'Gas pressure = load over cylinder area + ambient; gas volume at that pressure by the density of nitrogen; rate ' +
  'k = n p A² / V with the isentropic exponent n of nitrogen at that state; frequency = sqrt(k / m) / (2 pi). At ' +
  'one load the volume goes with the amount of gas, and so does the bump travel. Seals and linkage are left out.';

/**
 * Rate and natural frequency of a gas spring, and how far they are from those with the nominal precharge. A
 * unit that lost gas is harder and has less bump travel. Not rounded.
 *
 * @throws InputError naming the input: outside the range of the gas calculations, or `carriedMassKg` when the
 *   load is below the precharge, so that the diaphragm rests on its stop and there is no gas spring
 */
export function rideEffect(input: RideInput): RideEffect {
  const gasTemperatureC = input.gasTemperatureC ?? 20;
  requireTemperatureInRange(gasTemperatureC, 'gasTemperatureC');
  requireAboveZero(input.carriedMassKg, 'carriedMassKg', 'kg');
  requireAboveZero(input.boreMm, 'boreMm', 'mm');
  const ambientBar = ambientBarOf(input);
  const areaM2 = (Math.PI / 4) * (input.boreMm / 1000) ** 2;
  const pressureBarAbs = (input.carriedMassKg * STANDARD_GRAVITY_M_PER_S2) / areaM2 / 1e5 + ambientBar;
  requireBarAbsInRange(pressureBarAbs, 'carriedMassKg');
  const charge = gasChargeOf(input, gasTemperatureC, ambientBar);
  requireLifted(charge, pressureBarAbs);
  const temperatureK = kelvinFromCelsius(gasTemperatureC);
  const density = nitrogenDensity(temperatureK, pressureBarAbs);
  const springOf = (gasVolumeL: number, exponent: number): GasSpring => {
    const rateNPerM = (exponent * pressureBarAbs * 1e5 * areaM2 ** 2) / (gasVolumeL / 1000);
    const frequencyHz = Math.sqrt(rateNPerM / input.carriedMassKg) / (2 * Math.PI);
    return { gasVolumeL, exponent, rateNPerM, frequencyHz };
  };
  const spring = springOf(
    charge.amountMol / density,
    nitrogenProperties(temperatureK, density).isentropicExponent,
  );
  const idealVolumeL =
    (charge.gasVolumeL * charge.precharge20BarAbs * temperatureK) / REFERENCE_TEMPERATURE_K / pressureBarAbs;
  const nominalUnit = {
    gasVolumeL: input.gasVolumeL,
    precharge20BarGauge: input.nominalPrecharge20BarGauge,
  };
  const nominal = nominalCharge(nominalUnit, gasTemperatureC, ambientBar);
  const isNominalLifted = nominal.restBarAbs <= pressureBarAbs;
  const frequencyRatio = isNominalLifted ? Math.sqrt(nominal.amountMol / charge.amountMol) : null;
  const bumpTravelShare = isNominalLifted ? charge.amountMol / nominal.amountMol : null;
  return {
    pressureBarAbs,
    spring,
    idealSpring: springOf(idealVolumeL, IDEAL_EXPONENT),
    frequencyRatio,
    idealFrequencyRatio: isNominalLifted
      ? Math.sqrt(nominal.precharge20BarAbs / charge.precharge20BarAbs)
      : null,
    bumpTravelShare,
    bumpTravelMm: spring.gasVolumeL / areaM2,
    sentence:
      frequencyRatio === null || bumpTravelShare === null
        ? `With its nominal precharge the unit would rest on its stop under ${input.carriedMassKg} kg: there is nothing to compare with.`
        : `At ${input.carriedMassKg} kg the natural frequency is ${frequencyRatio.toFixed(2)} times that with the nominal ` +
          `precharge, and ${(100 * bumpTravelShare).toFixed(0)} % of its bump travel is left.`,
    method: METHOD,
    validity: GAS_VALIDITY,
    cautions: [ADVICE_NOT_A_CERTIFICATE],
  };
}

function nominalCharge(unit: GasUnit, gasTemperatureC: number, ambientBar: number): GasCharge {
  requireBarAbsInRange(unit.precharge20BarGauge + ambientBar, 'nominalPrecharge20BarGauge');
  return gasChargeOf(unit, gasTemperatureC, ambientBar);
}

function requireLifted(charge: GasCharge, pressureBarAbs: number): void {
  if (pressureBarAbs >= charge.restBarAbs) return;
  throw new InputError(
    'carriedMassKg',
    `load below precharge: it asks for ${pressureBarAbs.toFixed(1)} bar absolute and the gas at rest has ` +
      `${charge.restBarAbs.toFixed(1)}, so the diaphragm rests on its stop and there is no gas spring`,
    'give the mass that one unit carries, or a precharge below the pressure that the load asks for',
  );
}
