import type { JobSheet, SheetStep } from '../../core/job-sheet/job-sheet';
import type { FieldError } from '../../platform/errors/coded-error';
import type { GasUnitEventRow } from '../gas-unit-events/gas-unit-events.service';
import type { LayoutRow } from '../hydraulic-systems/plan-layout-versions';
import type { OdometerReadingRow } from '../odometer-readings/vehicle-history';
import type { SystemTestTask } from '../../core/tests/system-test';
import type { SystemTestRow } from '../system-tests/recorded-test';
import type { TaskCompletionRow } from '../task-completions/plan-task-completions';
import { foundFact } from './found-fact';
import type { StepEntry, UnitExchange } from './step-entry';

/** A result on its way to where it is recorded, with the step that it belongs to. */
export interface Planned<Row> {
  step: SheetStep;
  row: Row;
}

export interface PlannedExchange {
  removedUnitId: string;
  position: string;
  exchange: UnitExchange;
}

/** Where everything goes that was entered. */
export interface PlannedResults {
  readings: Planned<OdometerReadingRow>[];
  layout: Planned<LayoutRow>[];
  events: Planned<GasUnitEventRow>[];
  tests: Planned<SystemTestRow>[];
  completions: Planned<TaskCompletionRow>[];
  exchanges: Planned<PlannedExchange>[];
  /** steps that were not done, with the reason */
  notDone: { step: SheetStep; reason: string }[];
  faults: FieldError[];
}

export interface ResultContext {
  vehicleId: string;
  /** RFC 3339; what was measured lies between the two */
  arrivedAt: string;
  finishedAt: string;
  /** the day at the vehicle's depot */
  finishedOn: string;
  doneBy: string;
  /** `job-sheet:<id>`: with the key of a step the key of its result, so that none is recorded twice */
  keyPrefix: string;
  /** units that are fitted now, by position */
  fittedUnitIds: ReadonlyMap<string, string>;
  /** where whoever asks finds a field of the entry of a step */
  pointerOf: (key: string, field: string) => string;
}

/** Turns what was entered into what is recorded; pure. Faults name the entry and the field. */
export function planResults(
  { steps }: Pick<JobSheet, 'steps'>,
  entries: readonly StepEntry[],
  context: ResultContext,
): PlannedResults {
  const results: PlannedResults = {
    readings: [],
    layout: [],
    events: [],
    tests: [],
    completions: [],
    exchanges: [],
    notDone: [],
    faults: [],
  };
  const entryOf = new Map(entries.map((entry) => [entry.key, entry]));
  const odometer = entryOf.get('odometer-reading') ?? null;
  for (const step of steps) {
    const entry = entryOf.get(step.key);
    if (entry !== undefined) {
      planEntry({ step, entry, odometer }, context, results);
    } else if (step.required) {
      results.faults.push({
        pointer: '#/entries',
        detail: `There is no result for "${step.title}" (${step.key}).`,
        remedy: 'enter the result, or notDone with the reason',
      });
    } else {
      results.notDone.push({ step, reason: 'nobody looked' });
    }
  }
  return results;
}

interface Entered {
  step: SheetStep;
  entry: StepEntry;
  /** entry of the odometer, which goes with work that is recorded */
  odometer: StepEntry | null;
}

function planEntry(entered: Entered, context: ResultContext, to: PlannedResults): void {
  const { step, entry } = entered;
  planExchange(entered, context, to);
  const reason = entry.notDone ?? null;
  if (reason !== null) {
    to.notDone.push({ step, reason });
    return;
  }
  const fault = faultOf(entered, context);
  if (fault === null) planStep(entered, context, to);
  else to.faults.push(fault);
}

// a unit can be exchanged without having been measured: it leaks, or a charged one is at hand
function planExchange({ step, entry }: Entered, context: ResultContext, to: PlannedResults): void {
  const exchange = entry.exchange ?? null;
  if (exchange === null || (step.kind !== 'precharge-test' && step.kind !== 'charge')) return;
  const moved = unitFault(step, context);
  if (moved !== null) {
    // said once: the reading of the step is refused for the same reason
    if ((entry.notDone ?? null) !== null) to.faults.push(moved);
    return;
  }
  const { unit, position } = step;
  if (unit === null || position === null) return;
  to.exchanges.push({ step, row: { removedUnitId: unit.unitId, position, exchange } });
}

const MEASURED_KINDS: readonly SheetStep['kind'][] = ['precharge-test', 'charge', 'system-test'];

function faultOf({ step, entry }: Entered, context: ResultContext): FieldError | null {
  const pointer = (field: keyof StepEntry): string => context.pointerOf(step.key, field);
  const doneAt = entry.doneAt ?? null;
  if (doneAt !== null) {
    const at = Date.parse(doneAt);
    if (at < Date.parse(context.arrivedAt) || at > Date.parse(context.finishedAt)) {
      return {
        pointer: pointer('doneAt'),
        detail: `"${step.title}" cannot have been done at ${doneAt}: the vehicle was in from ${context.arrivedAt}, and work ended at ${context.finishedAt}.`,
        remedy: 'give a moment between the two, or leave it out',
      };
    }
  }
  if (MEASURED_KINDS.includes(step.kind) && (entry.outcome ?? null) !== null) {
    return {
      pointer: pointer('outcome'),
      detail: `"${step.title}" is judged by its figures, nobody states its outcome.`,
      remedy: 'give the figures and leave outcome out, or give notDone with the reason',
    };
  }
  return step.kind === 'precharge-test' || step.kind === 'charge' ? unitFault(step, context) : null;
}

// figures belong to the unit that the sheet names, and that one has to be where the technician found it
function unitFault(
  { key, unit, position }: SheetStep,
  { fittedUnitIds, pointerOf }: ResultContext,
): FieldError | null {
  const pointer = pointerOf(key, 'key');
  if (unit === null || position === null) {
    return {
      pointer,
      detail: `No gas unit is recorded at ${position ?? 'the position'}, so its figures belong to nothing.`,
      remedy: 'record which unit is fitted and renew the sheet, or give notDone with the reason',
    };
  }
  if (fittedUnitIds.get(position) === unit.unitId) return null;
  return {
    pointer,
    detail: `Unit ${unit.serialNumber} is recorded at ${position} no more since the sheet was made.`,
    remedy: 'look which unit is fitted, correct the record where it is wrong, and renew the sheet',
  };
}

function planStep({ step, entry, odometer }: Entered, context: ResultContext, to: PlannedResults): void {
  const { vehicleId, doneBy, keyPrefix } = context;
  const doneAt = entry.doneAt ?? context.finishedAt;
  const common = { doneBy, note: entry.note ?? null, externalKey: `${keyPrefix}:${step.key}` };
  const missing = (field: keyof StepEntry, what: string): void => {
    to.faults.push({
      pointer: context.pointerOf(step.key, field),
      detail: `"${step.title}" needs ${what}.`,
      remedy: `give ${field}, or notDone with the reason`,
    });
  };
  switch (step.kind) {
    case 'odometer-reading': {
      const { odometer: value = null, engineHours = null } = entry;
      if (value === null) {
        missing('odometer', 'what the odometer shows');
        return;
      }
      const reading = { vehicleId, readAt: doneAt, source: 'workshop' };
      const { externalKey } = common;
      to.readings.push({ step, row: { ...reading, value, unit: entry.odometerUnit ?? null, externalKey } });
      if (engineHours === null) return;
      const hours = { value: engineHours, meter: 'engine-hours', unit: 'h' } as const;
      to.readings.push({ step, row: { ...reading, ...hours, externalKey: `${externalKey}:hours` } });
      return;
    }
    case 'inspection': {
      if (step.fact === null) return;
      const found = foundFact(step.fact, entry.found ?? null);
      if ('remedy' in found) {
        const detail =
          (entry.found ?? null) === null
            ? `"${step.title}" needs what was found.`
            : `"${String(entry.found)}" is no answer to "${step.title}".`;
        to.faults.push({ pointer: context.pointerOf(step.key, 'found'), detail, remedy: found.remedy });
        return;
      }
      const how = entry.note ?? 'seen while the vehicle was in for work';
      const row = { vehicleId, [step.fact]: found.value, seenBy: doneBy, seenOn: context.finishedOn, how };
      to.layout.push({ step, row });
      return;
    }
    case 'precharge-test':
    case 'charge': {
      const { pressureBarGauge = null, gasTemperatureC = null } = entry;
      if (pressureBarGauge === null) missing('pressureBarGauge', 'the pressure as read');
      if (gasTemperatureC === null) missing('gasTemperatureC', 'the temperature of the gas');
      if (pressureBarGauge === null || gasTemperatureC === null || step.unit === null) return;
      const row: GasUnitEventRow = {
        ...common,
        unitId: step.unit.unitId,
        kind: step.kind,
        doneAt,
        pressureBarGauge,
        gasTemperatureC,
        ambientBar: entry.ambientBar ?? null,
        altitudeM: entry.altitudeM ?? null,
        gaugeId: entry.gaugeId ?? null,
      };
      to.events.push({ step, row });
      return;
    }
    case 'system-test': {
      // the fields that belong to other kinds of step are not looked at
      const row = { ...entry, ...common, vehicleId, task: step.task as SystemTestTask, doneAt };
      to.tests.push({ step, row });
      return;
    }
    case 'task': {
      const outcome = entry.outcome ?? null;
      if (outcome === null) {
        missing('outcome', 'an outcome, done or failed');
        return;
      }
      // work beside what is due settles nothing; it stays on the sheet
      if (step.task === null) return;
      const row: TaskCompletionRow = {
        ...common,
        vehicleId,
        task: step.task,
        position: step.position,
        doneOn: context.finishedOn,
        outcome,
        odometerValue: odometer?.odometer ?? null,
        odometerUnit: odometer?.odometerUnit ?? null,
      };
      to.completions.push({ step, row });
    }
  }
}
