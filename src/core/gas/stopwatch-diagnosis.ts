import { InputError } from '../shared/input-error';
import { requireAboveZero } from './nitrogen-limits';
import type { StopwatchFigures } from './stopwatch-figures';

/** What a stopwatch test is judged by. */
export interface StopwatchLimits {
  readonly nominalPrecharge20BarGauge: number;
  /** Below this share of the nominal precharge (gauge) a unit has lost gas; 0.8 in the starter programme. */
  readonly lowestPrechargeShare: number;
  /** A pump that cuts in more often than this, nothing in use, needs a look; about 10 s in common practice. */
  readonly shortestIntervalSeconds: number;
  /** Above this the system leaks too much; left out where nobody has stated one. */
  readonly highestLeakMlPerMin?: number | undefined;
}

export type StopwatchVerdict = 'healthy' | 'gas-loss' | 'system-leakage' | 'both' | 'cannot-be-told';

export interface StopwatchDiagnosis {
  readonly verdict: StopwatchVerdict;
  /** The pump cuts in more often than the limit: a look is needed, whatever the verdict. */
  readonly isIntervalShort: boolean;
  /** Every reason with its numbers, in sentences. */
  readonly reasons: readonly string[];
}

type Finding = 'bad' | 'good' | 'unknown';

/**
 * Tells gas loss and system leakage apart.
 *
 * - Gas is lost when the whole bracket of the precharge is below the lowest share of the nominal one, and in
 *   order when the whole bracket is at or above it; a bracket across the limit tells nothing.
 * - The system leaks when the leak is above its limit; without a limit nothing is said of it.
 * - Both in order is healthy, unless the interval is short all the same: then figures and times disagree.
 * - A leak that is found is reported though the gas cannot be judged, and the other way round.
 */
export function diagnoseStopwatchTest(
  intervalSeconds: number,
  figures: StopwatchFigures | null,
  limits: StopwatchLimits,
): StopwatchDiagnosis {
  const isIntervalShort = intervalSeconds < limits.shortestIntervalSeconds;
  const reasons = [
    `The pump cuts in every ${intervalSeconds.toFixed(1)} s, which is ` +
      `${isIntervalShort ? 'more often' : 'not more often'} than every ${limits.shortestIntervalSeconds} s.`,
  ];
  if (figures === null) {
    reasons.push(
      'Without the pump delivery a loss of gas and a leak cannot be told apart: measure it, or test the precharge with a gauge.',
    );
    return { verdict: 'cannot-be-told', isIntervalShort, reasons };
  }
  const gas = judgeGas(figures, limits, reasons);
  const leak = judgeLeak(figures.leakMlPerMin, limits.highestLeakMlPerMin, reasons);
  const verdict = verdictOf(gas, leak);
  if (verdict === 'healthy' && isIntervalShort) {
    reasons.push(
      'Precharge and leak look right and yet the interval is short: check the times, the pump delivery and the gas volume.',
    );
    return { verdict: 'cannot-be-told', isIntervalShort, reasons };
  }
  return { verdict, isIntervalShort, reasons };
}

/**
 * @throws InputError naming the part of `limits`
 */
export function requireStopwatchLimits(limits: StopwatchLimits): void {
  requireAboveZero(limits.nominalPrecharge20BarGauge, 'limits.nominalPrecharge20BarGauge', 'bar');
  requireAboveZero(limits.shortestIntervalSeconds, 'limits.shortestIntervalSeconds', 's');
  if (limits.highestLeakMlPerMin !== undefined) {
    requireAboveZero(limits.highestLeakMlPerMin, 'limits.highestLeakMlPerMin', 'ml/min');
  }
  const share = limits.lowestPrechargeShare;
  if (share > 0 && share <= 1) return;
  throw new InputError(
    'limits.lowestPrechargeShare',
    `${share} is no share of the nominal precharge`,
    'give a number above 0 and up to 1: 0.8 is 80 %',
  );
}

function judgeGas(figures: StopwatchFigures, limits: StopwatchLimits, reasons: string[]): Finding {
  const { precharge20, usableMl } = figures;
  const limitBar = limits.lowestPrechargeShare * limits.nominalPrecharge20BarGauge;
  const usable = `The accumulator gives ${usableMl.toFixed(1)} ml between cut-out and cut-in`;
  if (precharge20 === null) {
    reasons.push(
      `${usable}, more than its gas volume allows at any precharge: check the pump delivery, the times and the gas volume.`,
    );
    return 'unknown';
  }
  const { lowBarGauge, highBarGauge } = precharge20;
  const estimate = `${usable}, so its precharge at 20 °C is ${lowBarGauge.toFixed(1)} to ${highBarGauge.toFixed(1)} bar`;
  const limit =
    `${limitBar.toFixed(1)} bar, ${Number((100 * limits.lowestPrechargeShare).toFixed(1))} % of the nominal ` +
    `${limits.nominalPrecharge20BarGauge} bar`;
  if (highBarGauge < limitBar) {
    reasons.push(`${estimate}: below ${limit}. It has lost gas.`);
    return 'bad';
  }
  if (lowBarGauge >= limitBar) {
    reasons.push(`${estimate}: not below ${limit}.`);
    return 'good';
  }
  reasons.push(`${estimate}: on both sides of ${limit}. Only a gauge can tell.`);
  return 'unknown';
}

function judgeLeak(leakMlPerMin: number, highestMlPerMin: number | undefined, reasons: string[]): Finding {
  const leak = `The system leaks ${leakMlPerMin.toFixed(1)} ml/min`;
  if (highestMlPerMin === undefined) {
    reasons.push(
      `${leak}; no limit is given, so it is not judged. A little is designed in, for lubrication.`,
    );
    return 'unknown';
  }
  const isHigh = leakMlPerMin > highestMlPerMin;
  reasons.push(`${leak}, ${isHigh ? 'above' : 'not above'} the limit of ${highestMlPerMin} ml/min.`);
  return isHigh ? 'bad' : 'good';
}

function verdictOf(gas: Finding, leak: Finding): StopwatchVerdict {
  if (gas === 'bad') return leak === 'bad' ? 'both' : 'gas-loss';
  if (leak === 'bad') return 'system-leakage';
  return gas === 'good' && leak === 'good' ? 'healthy' : 'cannot-be-told';
}
