import { stopwatchTest, type StopwatchTest } from '../gas/stopwatch-test';
import type { TestLimits } from '../due/test-limits';
import { judgeAntiSinkHold, sinkRates } from '../hydraulics/judge-anti-sink-hold';
import { judgeBrakeReserve } from '../hydraulics/judge-brake-reserve';
import { judgeCutInCutOut, type RegulatorReading } from '../hydraulics/judge-cut-in-cut-out';
import {
  judgeFindings,
  missingLimit,
  type TestFinding,
  type TestJudgement,
} from '../hydraulics/judge-findings';
import { judgeLowPressureWarning } from '../hydraulics/judge-low-pressure-warning';
import { judgeRegulatorCycle } from '../hydraulics/judge-regulator-cycle';
import { judgeSteeringRegulator } from '../hydraulics/judge-steering-regulator';
import type { MainAccumulator, Measured, SystemTestTask } from './system-test';

/** Everything that a test is judged by. */
export interface TestToJudge {
  task: SystemTestTask;
  measured: Measured;
  limits: TestLimits;
  ambientTemperatureC: number | null;
  altitudeM: number | null;
  isGaugeOverdue: boolean;
  /** fitted at the moment of the test, where one is on record */
  mainAccumulator: MainAccumulator | null;
}

export interface JudgedTest extends TestJudgement {
  /** what follows from the figures */
  findings: object;
  /** the limits that this kind of test is judged by */
  limits: Partial<TestLimits>;
}

const REGULATOR_LIMITS = ['cutInLowBar', 'cutInHighBar', 'cutOutLowBar', 'cutOutHighBar'] as const;
const LIMITS: Record<SystemTestTask, readonly (keyof TestLimits)[]> = {
  'regulator-cycle-test': [
    'lowestPrechargeShare',
    'shortestCycleSeconds',
    'highestLeakMlPerMin',
    ...REGULATOR_LIMITS,
  ],
  'cut-in-cut-out-reading': REGULATOR_LIMITS,
  'low-pressure-warning-test': ['warningLowBar', 'warningHighBar'],
  'anti-sink-hold-test': ['highestSinkMmPerHour'],
  'brake-reserve-test': ['warningNotWithinApplications', 'cutInLowBar', 'cutInHighBar'],
  'steering-regulator-check': [],
};

/**
 * Judges a test whose fields go with its task.
 *
 * @throws InputError naming the field, where a calculation cannot take it
 */
export function judgedTest(test: TestToJudge): JudgedTest {
  const limits = Object.fromEntries(LIMITS[test.task].map((key) => [key, test.limits[key]]));
  const { findings, ...judgement } = judge(test);
  return { ...judgement, findings, limits };
}

function judge(test: TestToJudge): TestJudgement & { findings: object } {
  const { task, measured, limits, isGaugeOverdue } = test;
  switch (task) {
    case 'regulator-cycle-test':
      return judgeCycle(test);
    case 'cut-in-cut-out-reading': {
      const judgement = judgeFindings(judgeCutInCutOut(readingOf(measured), limits, isGaugeOverdue));
      return { ...judgement, findings: {} };
    }
    case 'low-pressure-warning-test': {
      const at = measured.warningBarGauge ?? null;
      return { ...judgeLowPressureWarning(at, limits, isGaugeOverdue), findings: {} };
    }
    case 'anti-sink-hold-test': {
      const { hours = NaN, frontLossMm = null, rearLossMm = null } = measured;
      const hold = { hours, frontLossMm, rearLossMm };
      return { ...judgeAntiSinkHold(hold, limits), findings: sinkRates(hold) };
    }
    case 'brake-reserve-test': {
      const { applicationsUntilWarning = NaN, startBarGauge = null } = measured;
      const reserve = { applicationsUntilWarning, startBarGauge };
      return { ...judgeBrakeReserve(reserve, limits, isGaugeOverdue), findings: {} };
    }
    case 'steering-regulator-check':
      return { ...judgeSteeringRegulator(measured.result ?? 'failed'), findings: {} };
  }
}

function readingOf({ cutInBarGauge, cutOutBarGauge }: Measured): RegulatorReading {
  return { cutInBarGauge: cutInBarGauge ?? null, cutOutBarGauge: cutOutBarGauge ?? null };
}

function judgeCycle(test: TestToJudge): TestJudgement & { findings: object } {
  const { measured, limits, isGaugeOverdue, mainAccumulator } = test;
  const { chargeSeconds = NaN, idleSeconds = NaN } = measured;
  const intervalSeconds = chargeSeconds + idleSeconds;
  const stopwatch = stopwatchOf(test);
  const isMade = 'test' in stopwatch;
  const diagnosis = isMade ? stopwatch.test.diagnosis : null;
  const gap = isMade ? null : stopwatch.gap;
  const cycle = { ...readingOf(measured), intervalSeconds, diagnosis, gap };
  return {
    ...judgeRegulatorCycle(cycle, limits, isGaugeOverdue),
    findings: {
      intervalSeconds,
      dutyShare: chargeSeconds / intervalSeconds,
      verdict: diagnosis?.verdict ?? 'cannot-be-told',
      reasons: isMade ? stopwatch.test.diagnosis.reasons : [stopwatch.gap.sentence],
      mainAccumulator,
      leakMlPerMin: isMade ? (stopwatch.test.figures?.leakMlPerMin ?? null) : null,
      usableMl: isMade ? (stopwatch.test.figures?.usableMl ?? null) : null,
      precharge20: isMade ? (stopwatch.test.figures?.precharge20 ?? null) : null,
      reckonedWith: isMade ? stopwatch.reckonedWith : null,
      method: isMade ? stopwatch.test.method : null,
      validity: isMade ? stopwatch.test.validity : null,
    },
  };
}

interface ReckonedWith {
  cutInBarGauge: number;
  cutOutBarGauge: number;
  gasTemperatureC: number;
  /** what of it nobody read */
  assumed: string[];
}

function stopwatchOf({
  measured,
  limits,
  ambientTemperatureC,
  altitudeM,
  mainAccumulator,
}: TestToJudge): { test: StopwatchTest; reckonedWith: ReckonedWith } | { gap: TestFinding } {
  if (mainAccumulator === null) {
    const sentence =
      'Gas loss and leakage cannot be told apart: no gas unit is on record at main-accumulator. Record which one is fitted.';
    return { gap: { verdict: 'note', sentence } };
  }
  const { shortestCycleSeconds, lowestPrechargeShare, highestLeakMlPerMin } = limits;
  if (shortestCycleSeconds === null || lowestPrechargeShare === null) {
    const names = shortestCycleSeconds === null ? ['shortestCycleSeconds'] : [];
    if (lowestPrechargeShare === null) names.push('lowestPrechargeShare');
    return { gap: missingLimit('The gas of the main accumulator', ...names) };
  }
  const cutInBarGauge = measured.cutInBarGauge ?? middle(limits.cutInLowBar, limits.cutInHighBar);
  const cutOutBarGauge = measured.cutOutBarGauge ?? middle(limits.cutOutLowBar, limits.cutOutHighBar);
  if (cutInBarGauge === null || cutOutBarGauge === null) {
    const sentence =
      'Gas loss and leakage cannot be told apart: cut-in and cut-out were not read, and the service programme sets no range to take them from.';
    return { gap: { verdict: 'note', sentence } };
  }
  const gasTemperatureC = measured.gasTemperatureC ?? ambientTemperatureC ?? 20;
  const assumed = [
    ...(measured.cutInBarGauge === undefined ? ['cutInBarGauge'] : []),
    ...(measured.cutOutBarGauge === undefined ? ['cutOutBarGauge'] : []),
    ...(measured.gasTemperatureC === undefined ? ['gasTemperatureC'] : []),
  ];
  const test = stopwatchTest({
    chargeSeconds: measured.chargeSeconds ?? NaN,
    idleSeconds: measured.idleSeconds ?? NaN,
    pumpDeliveryLPerMin: measured.pumpDeliveryLPerMin,
    gasVolumeL: mainAccumulator.gasVolumeCm3 / 1000,
    cutInBarGauge,
    cutOutBarGauge,
    gasTemperatureC,
    altitudeM: altitudeM ?? undefined,
    limits: {
      nominalPrecharge20BarGauge: mainAccumulator.nominalPrecharge20BarGauge,
      lowestPrechargeShare,
      shortestIntervalSeconds: shortestCycleSeconds,
      highestLeakMlPerMin: highestLeakMlPerMin ?? undefined,
    },
  });
  return { test, reckonedWith: { cutInBarGauge, cutOutBarGauge, gasTemperatureC, assumed } };
}

function middle(low: number | null, high: number | null): number | null {
  return low === null || high === null ? null : (low + high) / 2;
}
