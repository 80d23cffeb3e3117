import { normalisePrecharge } from '../../../../core/gas/normalise-precharge';
import { isCalibrationOverdue } from '../../../../core/hydraulics/gauge-calibration';
import { holdingSteps, type StepOutcome } from '../../../../core/job-sheet/release-verdict';
import { InputError } from '../../../../core/shared/input-error';
import { judgedTest } from '../../../../core/tests/judged-test';
import { judgePrecharge } from '../../../../core/tests/judge-precharge';
import { measuredFaults } from '../../../../core/tests/measured-faults';
import { measuredOf, type MainAccumulator, type SystemTestTask } from '../../../../core/tests/system-test';
import type { Gauge } from './job-place';
import { shownEntry, type Entry, type KeptJob, type Sheet, type Step } from './kept-job';

/** What a step shows by what was entered so far. The service judges once more when the job is completed. */
export type StepJudgement =
  | { kind: 'open' }
  | { kind: 'impossible'; field: string; detail: string; remedy: string }
  | {
      kind: 'judged';
      outcome: StepOutcome;
      reasons: readonly string[];
      /** of a precharge that was read */
      precharge20BarGauge: number | null;
    };

export interface JudgedBy {
  mainAccumulator: Sheet['mainAccumulator'];
  gauges: readonly Gauge[];
  /** at the workshop */
  today: string;
}

const OPEN: StepJudgement = { kind: 'open' };
const judged = (
  outcome: StepOutcome,
  reasons: readonly string[] = [],
  precharge20BarGauge: number | null = null,
): StepJudgement => ({
  kind: 'judged',
  outcome,
  reasons,
  precharge20BarGauge,
});

/** Judges a step as the service will, with the limits of the sheet. */
export function judgeStep(step: Step, entry: Entry, by: JudgedBy): StepJudgement {
  const reason = entry.notDone ?? null;
  if (reason !== null) return judged('not-done', [reason]);
  try {
    switch (step.kind) {
      case 'odometer-reading':
        return (entry.odometer ?? null) === null ? OPEN : judged('done');
      case 'inspection':
        return (entry.found ?? null) === null ? OPEN : judged('done');
      case 'precharge-test':
      case 'charge':
        return judgeUnit(step, step.kind, entry, by);
      case 'system-test':
        return judgeSystem(step, entry, by);
      case 'task':
        return (entry.outcome ?? null) === null ? OPEN : judged(entry.outcome as StepOutcome);
    }
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return { kind: 'impossible', field: error.field, detail: error.message, remedy: error.remedy };
  }
}

/** What would hold the vehicle as it is entered now; whatever holds it already by its records comes on top. */
export function expectedReasons(job: KeptJob, by: JudgedBy): string[] {
  const outcomes = new Map<string, StepOutcome>();
  for (const step of job.sheet.steps) {
    const judgement = judgeStep(step, shownEntry(job, step.key), by);
    if (judgement.kind === 'judged') outcomes.set(step.key, judgement.outcome);
  }
  return holdingSteps(job.sheet, outcomes).map(({ sentence }) => sentence);
}

function judgeUnit(
  { unit }: Step,
  kind: 'precharge-test' | 'charge',
  entry: Entry,
  { gauges, today }: JudgedBy,
): StepJudgement {
  const { pressureBarGauge = null, gasTemperatureC = null, ambientBar, altitudeM } = entry;
  if (unit === null || pressureBarGauge === null || gasTemperatureC === null) return OPEN;
  const { precharge20BarGauge, likelyFahrenheitReadingC } = normalisePrecharge({
    pressureBarGauge,
    gasTemperatureC,
    ambientBar: ambientBar ?? undefined,
    altitudeM: altitudeM ?? undefined,
  });
  const { nominal20BarGauge, limit20BarGauge } = unit;
  const reading = { kind, precharge20BarGauge, gasTemperatureC, likelyFahrenheitReadingC };
  const { outcome, reasons } = judgePrecharge(
    { ...reading, gaugeOverdue: isCalibrationOverdue(gaugeOf(entry, gauges), today) },
    { nominal20BarGauge, limit20BarGauge, source: 'as on this sheet' },
  );
  return judged(outcome, reasons, precharge20BarGauge);
}

function judgeSystem(
  { task, limits }: Step,
  entry: Entry,
  { mainAccumulator, gauges, today }: JudgedBy,
): StepJudgement {
  const measured = measuredOf(entry);
  if (limits === null || Object.keys(measured).length === 0) return OPEN;
  const faults = measuredFaults(task as SystemTestTask, measured, entry.note ?? null);
  const contradiction = faults.find(({ pointer }) => pointer.slice(2) in measured);
  if (contradiction !== undefined) {
    const { pointer, detail, remedy } = contradiction;
    return { kind: 'impossible', field: pointer.slice(2), detail, remedy };
  }
  if (faults.length > 0) return OPEN;
  const { outcome, reasons } = judgedTest({
    task: task as SystemTestTask,
    measured,
    limits,
    ambientTemperatureC: entry.ambientTemperatureC ?? null,
    altitudeM: entry.altitudeM ?? null,
    isGaugeOverdue: isCalibrationOverdue(gaugeOf(entry, gauges), today) === true,
    mainAccumulator: accumulatorOf(mainAccumulator),
  });
  return judged(outcome, reasons);
}

function gaugeOf({ gaugeId }: Entry, gauges: readonly Gauge[]): Gauge | null {
  return gauges.find(({ id }) => id === gaugeId) ?? null;
}

function accumulatorOf(unit: Sheet['mainAccumulator']): MainAccumulator | null {
  if (unit?.gasVolumeCm3 == null) return null;
  const { unitId, serialNumber, typeName, gasVolumeCm3, nominal20BarGauge } = unit;
  return {
    unitId,
    serialNumber,
    unitTypeCode: typeName,
    gasVolumeCm3,
    nominalPrecharge20BarGauge: nominal20BarGauge,
  };
}
