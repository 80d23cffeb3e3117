import { OVERDUE_GAUGE_SHARE } from '../hydraulics/gauge-calibration';
import type { PrechargeObservationKind } from '../precharge/precharge-model';
import type { TestOutcome } from '../hydraulics/judge-findings';

/**
 * So far above nominal the gauge saw fluid pressure, another unit or another unit of measure. Common practice, no
 * published source.
 */
export const TOO_HIGH_SHARE = 1.2;

/** A charge that ends further below nominal is on file with a remark. Common practice, no published source. */
const SHORT_CHARGE_SHARE = 0.95;

// a pressure that was read at the limit is not below it because of the last digit of the arithmetic
const SAME_BAR = 1e-6;

/** The precharge below which a unit has to be recharged, and who says so. */
export interface PrechargeLimit {
  nominal20BarGauge: number;
  limit20BarGauge: number;
  /** for a sentence */
  source: string;
}

/** What the judgement looks at. */
export interface JudgedReading {
  kind: PrechargeObservationKind;
  precharge20BarGauge: number;
  gasTemperatureC: number;
  likelyFahrenheitReadingC: number | null;
  gaugeOverdue: boolean | null;
}

/**
 * Whether a unit holds enough gas by a reading, with the reasons in sentences. A reading that may be wrong by more
 * than it is away from the limit is inconclusive, and so is one that cannot be that of the gas alone.
 */
export function judgePrecharge(
  reading: JudgedReading,
  limit: PrechargeLimit,
): { outcome: TestOutcome; reasons: string[] } {
  const { precharge20BarGauge: precharge, gaugeOverdue } = reading;
  const { limit20BarGauge, nominal20BarGauge } = limit;
  const doubts = [...temperatureDoubts(reading), ...heightDoubts(reading, nominal20BarGauge)];
  const reach = OVERDUE_GAUGE_SHARE * limit20BarGauge;
  if (gaugeOverdue === true && Math.abs(precharge - limit20BarGauge) <= reach) {
    doubts.push(
      `The calibration of the gauge was overdue, and ${bar(precharge)} is within ${percent(OVERDUE_GAUGE_SHARE)} of ` +
        `the limit of ${bar(limit20BarGauge)}: repeat it with a calibrated gauge.`,
    );
  }
  if (doubts.length > 0) return { outcome: 'inconclusive', reasons: doubts };
  const overdue =
    gaugeOverdue === true
      ? [
          `The calibration of the gauge was overdue; the result stands because it is more than ` +
            `${percent(OVERDUE_GAUGE_SHARE)} away from the limit.`,
        ]
      : [];
  if (precharge < limit20BarGauge - SAME_BAR) {
    const what =
      reading.kind === 'charge' ? 'it is not charged, charge it again' : 'recharge or replace the unit';
    const sentence = `${bar(precharge)} at 20 °C is below the limit of ${bar(limit20BarGauge)} (${limit.source}): ${what}.`;
    return { outcome: 'failed', reasons: [sentence, ...overdue] };
  }
  const reasons = [
    `${bar(precharge)} at 20 °C is not below the limit of ${bar(limit20BarGauge)} (${limit.source}).`,
    ...overdue,
  ];
  if (reading.kind === 'charge' && precharge < SHORT_CHARGE_SHARE * nominal20BarGauge) {
    reasons.push(
      `The charge ended ${percent(1 - precharge / nominal20BarGauge)} below the nominal ${bar(nominal20BarGauge)}.`,
    );
  }
  return { outcome: 'passed', reasons };
}

function temperatureDoubts({ gasTemperatureC, likelyFahrenheitReadingC }: JudgedReading): string[] {
  if (likelyFahrenheitReadingC === null) return [];
  return [
    `${gasTemperatureC} °C is not the temperature of a gas unit at rest (${gasTemperatureC} °F would be ` +
      `${likelyFahrenheitReadingC.toFixed(1)} °C): the precharge at 20 °C cannot be told. Read the temperature again.`,
  ];
}

function heightDoubts({ precharge20BarGauge }: JudgedReading, nominal20BarGauge: number): string[] {
  if (precharge20BarGauge <= TOO_HIGH_SHARE * nominal20BarGauge) return [];
  return [
    `${bar(precharge20BarGauge)} is more than ${percent(TOO_HIGH_SHARE - 1)} above the nominal ` +
      `${bar(nominal20BarGauge)}: fluid pressure on the other side of the diaphragm, another unit, or a gauge that ` +
      'does not read bar. Release the fluid pressure, check the type and repeat it.',
  ];
}

const bar = (value: number): string => `${value.toFixed(2)} bar`;
const percent = (share: number): string => `${Number((100 * share).toFixed(1))} %`;
