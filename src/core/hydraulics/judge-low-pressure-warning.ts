import { judgeFindings, TestJudgement } from './judge-findings';
import { judgePressure } from './judge-pressure';

export interface WarningLimits {
  readonly warningLowBar: number | null;
  readonly warningHighBar: number | null;
}

/**
 * Judges a test of the low-pressure warning: a warning that does not come on fails it, whatever the limits.
 *
 * @param warningBarGauge falling pressure at which the lamp came on; null where it did not
 */
export function judgeLowPressureWarning(
  warningBarGauge: number | null,
  { warningLowBar, warningHighBar }: WarningLimits,
  isGaugeOverdue: boolean,
): TestJudgement {
  if (warningBarGauge === null) {
    const sentence = 'The low-pressure warning did not come on: nothing tells the driver that the brakes go.';
    return judgeFindings([{ verdict: 'bad', sentence }]);
  }
  const reading = {
    name: 'The warning',
    barGauge: warningBarGauge,
    lowBar: warningLowBar,
    highBar: warningHighBar,
    limitNames: ['warningLowBar', 'warningHighBar'],
  } as const;
  return judgeFindings([judgePressure(reading, isGaugeOverdue)]);
}
