import { TestFinding } from './judge-findings';
import { judgePressure } from './judge-pressure';

/** Between which pressures the regulator has to switch the pump on and off; null where nobody set it. */
export interface RegulatorLimits {
  readonly cutInLowBar: number | null;
  readonly cutInHighBar: number | null;
  readonly cutOutLowBar: number | null;
  readonly cutOutHighBar: number | null;
}

/** Where the regulator switched; null for what was not read. */
export interface RegulatorReading {
  readonly cutInBarGauge: number | null;
  readonly cutOutBarGauge: number | null;
}

/** Holds cut-in and cut-out against their ranges, as far as they were read. */
export function judgeCutInCutOut(
  { cutInBarGauge, cutOutBarGauge }: RegulatorReading,
  limits: RegulatorLimits,
  isGaugeOverdue: boolean,
): TestFinding[] {
  const findings: TestFinding[] = [];
  if (cutInBarGauge !== null) {
    const { cutInLowBar: lowBar, cutInHighBar: highBar } = limits;
    const limitNames = ['cutInLowBar', 'cutInHighBar'] as const;
    const reading = { name: 'Cut-in', barGauge: cutInBarGauge, lowBar, highBar, limitNames };
    findings.push(judgePressure(reading, isGaugeOverdue));
  }
  if (cutOutBarGauge !== null) {
    const { cutOutLowBar: lowBar, cutOutHighBar: highBar } = limits;
    const limitNames = ['cutOutLowBar', 'cutOutHighBar'] as const;
    const reading = { name: 'Cut-out', barGauge: cutOutBarGauge, lowBar, highBar, limitNames };
    findings.push(judgePressure(reading, isGaugeOverdue));
  }
  return findings;
}
