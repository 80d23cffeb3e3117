import type { PressureSpan } from './gas-unit';
import { type PrechargeBracket, prechargeFromUsableVolume } from './precharge-from-usable-volume';

/** What follows from the pump delivery. */
export interface StopwatchFigures {
  readonly leakMlPerMin: number;
  /** Volume that the accumulator gives between cut-out and cut-in. */
  readonly usableMl: number;
  /** Null when the accumulator cannot give that much at any precharge. */
  readonly precharge20: PrechargeBracket | null;
}

/**
 * Leak, usable volume and precharge from the two times of a regulator cycle and the pump delivery. What the pump
 * gives in the charge time leaks over the whole interval; what leaks in the idle time came from the accumulator.
 * The input has been checked.
 *
 * @throws InputError naming `cutInBarGauge` when the expansion would nearly liquefy the gas
 */
export function stopwatchFigures(
  times: { readonly chargeSeconds: number; readonly idleSeconds: number; readonly gasVolumeL: number },
  pumpDeliveryLPerMin: number,
  span: PressureSpan,
  gasTemperatureC: number,
  ambientBar: number,
): StopwatchFigures {
  const { chargeSeconds, idleSeconds, gasVolumeL } = times;
  const leakMlPerMin = (pumpDeliveryLPerMin * 1000 * chargeSeconds) / (chargeSeconds + idleSeconds);
  const usableMl = (leakMlPerMin / 60) * idleSeconds;
  return {
    leakMlPerMin,
    usableMl,
    precharge20: prechargeFromUsableVolume(
      usableMl / 1000,
      gasVolumeL,
      span,
      gasTemperatureC,
      ambientBar,
      'cutInBarGauge',
    ),
  };
}
