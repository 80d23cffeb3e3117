import { type Ambient, ambientBarOf } from './ambient-pressure';
import {
  ADVICE_NOT_A_CERTIFICATE,
  type GasCaution,
  RELEASE_PRESSURE_FIRST,
  STOPWATCH_IS_NO_GAUGE,
} from './gas-cautions';
import { pressureSpan } from './gas-unit';
import { GAS_VALIDITY, requireAboveZero, requireTemperatureInRange } from './nitrogen-limits';
import {
  diagnoseStopwatchTest,
  requireStopwatchLimits,
  type StopwatchDiagnosis,
  type StopwatchLimits,
} from './stopwatch-diagnosis';
import { type StopwatchFigures, stopwatchFigures } from './stopwatch-figures';

/** Times of the pressure regulator: engine idling, nothing in use. */
export interface StopwatchInput extends Ambient {
  /** From cut-in to cut-out: the pump charges. */
  readonly chargeSeconds: number;
  /** From cut-out to cut-in: the pump idles. */
  readonly idleSeconds: number;
  /** What the pump gives at idling speed; left out where it is not known. */
  readonly pumpDeliveryLPerMin?: number | undefined;
  /** Gas volume of the main accumulator with no fluid in it. */
  readonly gasVolumeL: number;
  readonly cutInBarGauge: number;
  readonly cutOutBarGauge: number;
  readonly gasTemperatureC?: number | undefined;
  readonly limits: StopwatchLimits;
}

export interface StopwatchTest {
  /** Time from one cut-in to the next. */
  readonly intervalSeconds: number;
  /** Share of the time that the pump charges: leak over pump delivery. */
  readonly dutyShare: number;
  /** Null where the pump delivery is not known. */
  readonly figures: StopwatchFigures | null;
  readonly diagnosis: StopwatchDiagnosis;
  readonly method: string;
  readonly validity: string;
  readonly cautions: readonly GasCaution[];
}

const METHOD =
  'What the pump gives while it charges leaks over the whole interval: leak = delivery * charge time / (charge + ' +
  'idle time). What leaks while it idles came from the accumulator: usable volume = leak * idle time. The ' +
  'precharge at 20 °C that gives this volume between cut-out and cut-in lies between that of a gas which keeps ' +
  'its temperature and that of one which takes no heat. Without the delivery: interval and share only.';

/**
 * The stopwatch test of the main accumulator. Two times give two unknowns, leak and precharge, which the
 * interval alone cannot tell apart. Not rounded.
 *
 * @throws InputError naming the input: a time, volume or delivery that is not above zero, or anything outside
 *   the range of the gas calculations
 */
export function stopwatchTest(input: StopwatchInput): StopwatchTest {
  const { chargeSeconds, idleSeconds, pumpDeliveryLPerMin } = input;
  requireAboveZero(chargeSeconds, 'chargeSeconds', 's');
  requireAboveZero(idleSeconds, 'idleSeconds', 's');
  const gasTemperatureC = input.gasTemperatureC ?? 20;
  requireTemperatureInRange(gasTemperatureC, 'gasTemperatureC');
  requireAboveZero(input.gasVolumeL, 'gasVolumeL', 'litres');
  const ambientBar = ambientBarOf(input);
  const span = pressureSpan(input.cutInBarGauge, input.cutOutBarGauge, ambientBar, [
    'cutInBarGauge',
    'cutOutBarGauge',
  ]);
  requireStopwatchLimits(input.limits);
  const intervalSeconds = chargeSeconds + idleSeconds;
  const dutyShare = chargeSeconds / intervalSeconds;
  let figures: StopwatchFigures | null = null;
  if (pumpDeliveryLPerMin !== undefined) {
    requireAboveZero(pumpDeliveryLPerMin, 'pumpDeliveryLPerMin', 'l/min');
    figures = stopwatchFigures(input, pumpDeliveryLPerMin, span, gasTemperatureC, ambientBar);
  }
  return {
    intervalSeconds,
    dutyShare,
    figures,
    diagnosis: diagnoseStopwatchTest(intervalSeconds, figures, input.limits),
    method: METHOD,
    validity: GAS_VALIDITY,
    cautions: [STOPWATCH_IS_NO_GAUGE, RELEASE_PRESSURE_FIRST, ADVICE_NOT_A_CERTIFICATE],
  };
}
