import type { JobSheet, SheetStep } from '../../core/job-sheet/job-sheet';
import { RECORDABLE_VALUES, VARIANT_FACTS, type LayoutFact } from '../../core/hydraulics/hydraulic-layout';
import type { FieldError } from '../../platform/errors/coded-error';
import type { GasUnitEventRow } from '../gas-unit-events/gas-unit-events.service';
import type { LayoutRow } from '../hydraulic-systems/plan-layout-versions';
import type { OdometerReadingRow } from '../odometer-readings/vehicle-history';
import type { SystemTestTask } from '../system-tests/measured-fields';
import type { SystemTestRow } from '../system-tests/recorded-test';
import type { TaskCompletionRow } from '../task-completions/plan-task-completions';
import type { StepEntry, UnitExchange } from './step-entry';

/** A result on its way to where it is recorded, with the entry that it came from. */
export interface Planned<Row> {
  step: SheetStep;
  /** place of the entry, for whoever is told what is wrong with it */
  place: number;
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
  /** RFC 3339 */
  finishedAt: string;
  /** the day at the vehicle's depot */
  finishedOn: string;
  doneBy: string;
  /** `job-sheet:<id>`: with the key of a step the key of its result, so that none is recorded twice */
  keyPrefix: string;
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
  const stepOf = new Map(steps.map((step) => [step.key, step]));
  const odometer = entries.find(({ key }) => key === 'odometer-reading')?.odometer ?? null;
  const entered = new Set<string>();
  entries.forEach((entry, place) => {
    const step = stepOf.get(entry.key);
    if (step === undefined) {
      results.faults.push({
        pointer: `#/entries/${place}/key`,
        detail: `The sheet has no step ${entry.key}.`,
        remedy: 'take the keys from the steps of the sheet',
      });
      return;
    }
    entered.add(step.key);
    const reason = entry.notDone ?? null;
    if (reason === null) planStep({ step, entry, place, odometer }, context, results);
    else results.notDone.push({ step, reason });
  });
  for (const step of steps) {
    if (entered.has(step.key)) continue;
    if (!step.required) results.notDone.push({ step, reason: 'nobody looked' });
    else
      results.faults.push({
        pointer: '#/entries',
        detail: `There is no result for "${step.title}" (${step.key}).`,
        remedy: 'enter the result, or notDone with the reason',
      });
  }
  return results;
}

/** What an inspection can find; null where that is no list. */
function foundValues(fact: LayoutFact): readonly string[] | null {
  const variant = VARIANT_FACTS.find((each) => each === fact);
  return variant === undefined ? null : RECORDABLE_VALUES[variant];
}

interface Entered {
  step: SheetStep;
  entry: StepEntry;
  place: number;
  odometer: number | null;
}

function planStep(
  { step, entry, place, odometer }: Entered,
  context: ResultContext,
  to: PlannedResults,
): void {
  const { vehicleId, doneBy, keyPrefix } = context;
  const doneAt = entry.doneAt ?? context.finishedAt;
  const common = { doneBy, note: entry.note ?? null, externalKey: `${keyPrefix}:${step.key}` };
  const missing = (field: keyof StepEntry, what: string): void => {
    to.faults.push({
      pointer: `#/entries/${place}/${field}`,
      detail: `"${step.title}" needs ${what}.`,
      remedy: `give ${field}, or notDone with the reason`,
    });
  };
  switch (step.kind) {
    case 'odometer-reading': {
      if ((entry.odometer ?? null) === null) {
        missing('odometer', 'what the odometer shows');
        return;
      }
      const reading = { vehicleId, readAt: doneAt, source: 'workshop' as const };
      const row = {
        ...reading,
        value: entry.odometer ?? NaN,
        unit: entry.odometerUnit ?? null,
        externalKey: common.externalKey,
      };
      to.readings.push({ step, place, row: row });
      if ((entry.engineHours ?? null) !== null) {
        const hours = {
          ...reading,
          meter: 'engine-hours',
          unit: 'h',
          value: entry.engineHours,
          externalKey: `${common.externalKey}:hours`,
        };
        to.readings.push({ step, place, row: hours as OdometerReadingRow });
      }
      return;
    }
    case 'inspection': {
      const { fact } = step;
      if ((entry.found ?? null) === null) {
        missing('found', 'what was found');
        return;
      }
      if (fact === null) return;
      const allowed = foundValues(fact);
      if (allowed !== null && !allowed.includes(String(entry.found))) {
        to.faults.push({
          pointer: `#/entries/${place}/found`,
          detail: `"${String(entry.found)}" is no answer to "${step.title}".`,
          remedy: `give ${allowed.join(', ')}, or notDone with the reason`,
        });
        return;
      }
      const how = entry.note ?? 'seen while the vehicle was in for work';
      const found = fact === 'reservoirLitres' ? Number(entry.found) : String(entry.found);
      if (fact === 'reservoirLitres' && !(Number(found) > 0)) {
        missing('found', 'litres above zero');
        return;
      }
      const row = { vehicleId, [fact]: found, seenBy: doneBy, seenOn: context.finishedOn, how };
      to.layout.push({ step, place, row: row });
      return;
    }
    case 'precharge-test':
    case 'charge': {
      const { unit, position } = step;
      if (unit === null || position === null) {
        to.faults.push({
          pointer: `#/entries/${place}/key`,
          detail: `No gas unit is recorded at ${position ?? 'the position'}, so its figures belong to nothing.`,
          remedy: 'record which unit is fitted and renew the sheet, or give notDone with the reason',
        });
        return;
      }
      const { pressureBarGauge = null, gasTemperatureC = null } = entry;
      if (pressureBarGauge === null) {
        missing('pressureBarGauge', 'the pressure as read');
        return;
      }
      if (gasTemperatureC === null) {
        missing('gasTemperatureC', 'the temperature of the gas');
        return;
      }
      const row: GasUnitEventRow = {
        ...common,
        unitId: unit.unitId,
        kind: step.kind,
        doneAt,
        pressureBarGauge,
        gasTemperatureC,
        ambientBar: entry.ambientBar ?? null,
        altitudeM: entry.altitudeM ?? null,
        gaugeId: entry.gaugeId ?? null,
      };
      to.events.push({ step, place, row });
      const exchange = entry.exchange ?? null;
      if (exchange !== null)
        to.exchanges.push({ step, place, row: { removedUnitId: unit.unitId, position, exchange } });
      return;
    }
    case 'system-test': {
      // the fields that belong to other kinds of step are not looked at
      const row = { ...entry, ...common, vehicleId, task: step.task as SystemTestTask, doneAt };
      to.tests.push({ step, place, row });
      return;
    }
    case 'task': {
      if ((entry.outcome ?? null) === null) {
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
        outcome: entry.outcome ?? 'done',
        odometerValue: odometer,
      };
      to.completions.push({ step, place, row });
    }
  }
}
