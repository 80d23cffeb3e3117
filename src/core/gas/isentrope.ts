import { assert } from '../shared/assert';
import { InputError } from '../shared/input-error';
import { nitrogenDensity } from './nitrogen-density';
import { nitrogenProperties } from './nitrogen-properties';

/** Nitrogen somewhere on a change of state. */
export interface GasState {
  readonly temperatureK: number;
  readonly densityMolPerDm3: number;
  readonly barAbs: number;
}

/**
 * Gas may become this cold in a fast expansion, K. It is above the critical temperature, so the gas is still
 * one phase, and the equation has one density for each pressure.
 */
export const COLDEST_EXPANSION_K = 150;
const HOTTEST_COMPRESSION_K = 1000;
// Newton's method squares the error, so that the state after this correction is exact to the digits there are.
const LAST_CORRECTION_K = 1e-5;

/** The state at a temperature and an absolute pressure; no range is checked. */
export function gasStateAt(temperatureK: number, barAbs: number): GasState {
  return { temperatureK, barAbs, densityMolPerDm3: nitrogenDensity(temperatureK, barAbs) };
}

/**
 * The state of equal entropy at another pressure: what a fast, loss-free change ends in. Newton's method on
 * the temperature, with ds/dT = cp/T; exact to 1e-7 K.
 *
 * @throws InputError naming `field` when the gas would get colder than `COLDEST_EXPANSION_K`
 */
export function isentropicStateAt(from: GasState, barAbs: number, field: string): GasState {
  const stateAt = (temperatureK: number) => gasStateAt(temperatureK, barAbs);
  return sameEntropy(from, stateAt, 'cpJPerMolK', field);
}

/**
 * The state of equal entropy at another density. Newton's method on the temperature, with ds/dT = cv/T; exact
 * to 1e-7 K.
 *
 * @throws InputError naming `field` when the gas would get colder than `COLDEST_EXPANSION_K`
 */
export function isentropicStateAtDensity(from: GasState, densityMolPerDm3: number, field: string): GasState {
  const stateAt = (temperatureK: number) => {
    const { barAbs } = nitrogenProperties(temperatureK, densityMolPerDm3);
    return { temperatureK, densityMolPerDm3, barAbs };
  };
  return sameEntropy(from, stateAt, 'cvJPerMolK', field);
}

function sameEntropy(
  from: GasState,
  stateAt: (temperatureK: number) => GasState,
  capacity: 'cvJPerMolK' | 'cpJPerMolK',
  field: string,
): GasState {
  const target = nitrogenProperties(from.temperatureK, from.densityMolPerDm3).entropyJPerMolK;
  const missAt = (state: GasState) => {
    const properties = nitrogenProperties(state.temperatureK, state.densityMolPerDm3);
    return { miss: target - properties.entropyJPerMolK, capacity: properties[capacity] };
  };
  const coldest = stateAt(COLDEST_EXPANSION_K);
  if (missAt(coldest).miss < 0) {
    throw new InputError(
      field,
      `expanding that far at once would cool the gas below ${COLDEST_EXPANSION_K} K, where it is near liquefying`,
      'give a low pressure closer to the high one, or a higher precharge',
    );
  }
  let low = COLDEST_EXPANSION_K;
  let high = HOTTEST_COMPRESSION_K;
  let state = stateAt(from.temperatureK);
  for (let round = 0; round < 100; round++) {
    const { miss, capacity: slope } = missAt(state);
    if (miss > 0) low = state.temperatureK;
    else high = state.temperatureK;
    const next = state.temperatureK * Math.exp(miss / slope);
    if (Math.abs(next - state.temperatureK) < LAST_CORRECTION_K) return stateAt(next);
    state = stateAt(next > low && next < high ? next : (low + high) / 2);
  }
  assert(false, `no isentrope from ${from.temperatureK} K and ${from.barAbs} bar absolute`);
}
