import { OVERDUE_GAUGE_SHARE } from './gauge-calibration';
import { missingLimit, TestFinding } from './judge-findings';

/** A pressure that somebody read, and the range in which it has to be; null where the programme sets no end. */
export interface PressureReading {
  /** What it is, as the beginning of a sentence: `Cut-in`. */
  readonly name: string;
  readonly barGauge: number;
  readonly lowBar: number | null;
  readonly highBar: number | null;
  /** What the programme calls the two limits. */
  readonly limitNames: readonly [low: string, high: string];
}

// 133.9 is 3.9 above 130, whatever the digits of a machine say
const ROUNDING_BAR = 1e-9;

/**
 * Holds a pressure against its range, both ends of which are good. Near an end, an overdue gauge decides nothing;
 * beyond it by more than that, it does.
 *
 * @param isGaugeOverdue whether the calibration of the gauge was overdue on the day; false without a gauge on record
 */
export function judgePressure(reading: PressureReading, isGaugeOverdue: boolean): TestFinding {
  const { name, barGauge, lowBar, highBar, limitNames } = reading;
  const read = `${name} was read at ${barGauge} bar`;
  const isNear = (limit: number | null): limit is number =>
    isGaugeOverdue &&
    limit !== null &&
    Math.abs(barGauge - limit) <= OVERDUE_GAUGE_SHARE * limit + ROUNDING_BAR;
  for (const limit of [lowBar, highBar]) {
    if (!isNear(limit)) continue;
    return {
      verdict: 'unknown',
      sentence:
        `${read}, within ${100 * OVERDUE_GAUGE_SHARE} % of the limit of ${limit} bar, on a gauge whose calibration ` +
        'is overdue: read it again on a calibrated gauge.',
    };
  }
  if (lowBar !== null && barGauge < lowBar) {
    return { verdict: 'bad', sentence: `${read}, below the limit of ${lowBar} bar.` };
  }
  if (highBar !== null && barGauge > highBar) {
    return { verdict: 'bad', sentence: `${read}, above the limit of ${highBar} bar.` };
  }
  if (lowBar === null || highBar === null) {
    const missing = [lowBar, highBar].flatMap((limit, at) => (limit === null ? (limitNames[at] ?? []) : []));
    return missingLimit(`${name} of ${barGauge} bar`, ...missing);
  }
  return { verdict: 'good', sentence: `${read}, within ${lowBar} to ${highBar} bar.` };
}
