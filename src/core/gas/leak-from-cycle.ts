import { type Ambient } from './ambient-pressure';
import { ADVICE_NOT_A_CERTIFICATE, type GasCaution, STOPWATCH_IS_NO_GAUGE } from './gas-cautions';
import { deliveredVolume } from './delivered-volume';
import type { GasUnit } from './gas-unit';
import { GAS_VALIDITY, requireAboveZero } from './nitrogen-limits';

/** How often the pump cuts in with nothing in use, where the precharge of the main accumulator is known. */
export interface CycleInput extends GasUnit, Ambient {
  readonly cutInBarGauge: number;
  readonly cutOutBarGauge: number;
  /** From one cut-out to the following cut-in. */
  readonly idleSeconds: number;
  readonly gasTemperatureC?: number | undefined;
}

/** What leaks between cut-out and cut-in. */
export interface CycleLeak {
  readonly leakMlPerMin: number;
  /** By the ideal-gas law, for comparison only. */
  readonly idealLeakMlPerMin: number;
  readonly storedMl: number;
  readonly method: string;
  readonly validity: string;
  readonly cautions: readonly GasCaution[];
}

/**
 * The leak that empties the main accumulator from cut-out to cut-in in the given time, at constant gas
 * temperature: stored volume over time. Not rounded. Needs a known precharge; the stopwatch test does not.
 *
 * @throws InputError naming the input
 */
export function leakFromCycle(input: CycleInput): CycleLeak {
  requireAboveZero(input.idleSeconds, 'idleSeconds', 's');
  const { isothermalL, ideal } = deliveredVolume(
    { ...input, lowBarGauge: input.cutInBarGauge, highBarGauge: input.cutOutBarGauge },
    ['cutInBarGauge', 'cutOutBarGauge'],
  );
  const mlPerMin = (litres: number) => (litres * 1000 * 60) / input.idleSeconds;
  return {
    leakMlPerMin: mlPerMin(isothermalL),
    idealLeakMlPerMin: mlPerMin(ideal.isothermalL),
    storedMl: isothermalL * 1000,
    method:
      'Volume stored between cut-in and cut-out at constant gas temperature, divided by the time from cut-out to cut-in.',
    validity: GAS_VALIDITY,
    cautions: [STOPWATCH_IS_NO_GAUGE, ADVICE_NOT_A_CERTIFICATE],
  };
}
