import { isDeepStrictEqual } from 'node:util';
import type { TestLimits } from '../../core/due/test-limits';
import { isCalibrationOverdue } from '../../core/hydraulics/gauge-calibration';
import { localDateAt } from '../../core/shared/calendar-date';
import { InputError } from '../../core/shared/input-error';
import { parseInstant } from '../../core/shared/instant';
import { keyOfAnotherVehicle, noSuchVehicle, type PlannedRow } from '../../platform/bulk/planned-row';
import type { FieldError } from '../../platform/errors/coded-error';
import { judgedTest, type JudgedTest, type TestToJudge } from '../../core/tests/judged-test';
import { measuredOf, type MainAccumulator, type SystemTestTask } from '../../core/tests/system-test';
import { measuredFaults } from '../../core/tests/measured-faults';
import type { ReadGauge } from '../gauges/gauge.entity';
import type { RecordedTest, SystemTestRow, TestedVehicle } from './recorded-test';
import type { SystemTest } from './system-test.entity';
import { testVoidedUnderThisKey } from './system-tests.errors';
import { ambientFault, gaugeFaults, layoutFault, momentFault } from './test-refusals';

export type PlannedSystemTest = PlannedRow<SystemTest, RecordedTest>;

/** What rows are held against; loaded for all of them at once. */
export interface TestSurroundings {
  now: number;
  vehicles: ReadonlyMap<string, TestedVehicle>;
  gauges: ReadonlyMap<string, ReadGauge>;
  limitsOf: (vehicle: TestedVehicle, task: SystemTestTask) => TestLimits;
  /** fitted when the row at this place was measured */
  mainAccumulatorOf: (place: number) => MainAccumulator | null;
}

/**
 * Decides what becomes of each row. A row with a known key corrects that record and is judged again, by the limits
 * of today. A row without a key that says what is on file already changes nothing: the same figures of the same
 * test at the same moment. What was voided stays voided, however often a file repeats it.
 *
 * @param stored tests of the vehicles at the rows' moments, voided ones too, and those that have one of the keys
 */
export function planSystemTests(
  rows: readonly SystemTestRow[],
  stored: readonly SystemTest[],
  surroundings: TestSurroundings,
): PlannedSystemTest[] {
  const byKey = new Map<string, SystemTest | RecordedTest>();
  const byIdentity = new Map<string, SystemTest | RecordedTest>();
  const remember = (test: SystemTest | RecordedTest): void => {
    if (test.externalKey !== null) byKey.set(test.externalKey, test);
    byIdentity.set(identityOf(test), test);
  };
  stored.forEach(remember);

  return rows.map((row, place): PlannedSystemTest => {
    const planned = recordedTest(row, place, surroundings);
    if ('errors' in planned) return { outcome: 'rejected', errors: planned.errors };
    const { test } = planned;
    const key = test.externalKey;
    const known = key === null ? byIdentity.get(identityOf(test)) : byKey.get(key);
    if (known === undefined) {
      remember(test);
      return { outcome: 'created', record: test };
    }
    if (key === null) return { outcome: 'unchanged', record: known };
    if (known.vehicleId !== test.vehicleId)
      return { outcome: 'rejected', errors: [keyOfAnotherVehicle(key)] };
    if (isDeepStrictEqual(statedIn(known), statedIn(test))) return { outcome: 'unchanged', record: known };
    if ('voidedAt' in known && known.voidedAt !== null) {
      return { outcome: 'rejected', errors: [testVoidedUnderThisKey(key)] };
    }
    byIdentity.delete(identityOf(known));
    Object.assign(known, test);
    remember(known);
    return { outcome: 'updated', record: known };
  });
}

/** The judged record of one row, or why it cannot be one. */
export function recordedTest(
  row: SystemTestRow,
  place: number,
  { now, vehicles, gauges, limitsOf, mainAccumulatorOf }: TestSurroundings,
): { test: RecordedTest } | { errors: FieldError[] } {
  const vehicle = vehicles.get(row.vehicleId);
  if (vehicle === undefined) return { errors: [noSuchVehicle(row.vehicleId)] };
  const { task, doneBy } = row;
  const measured = measuredOf(row);
  const [note, gaugeId] = [row.note ?? null, row.gaugeId ?? null];
  const [ambientTemperatureC, altitudeM] = [row.ambientTemperatureC ?? null, row.altitudeM ?? null];
  const doneAt = parseInstant(row.doneAt, 'doneAt');
  const doneOn = localDateAt(doneAt, vehicle.zone);
  const gauge = gaugeId === null ? undefined : gauges.get(gaugeId);
  const errors = [
    ...measuredFaults(task, measured, note),
    ...gaugeFaults(gaugeId, gauge, measured, doneOn),
    ...[
      momentFault(doneAt, now, vehicle),
      ambientFault(ambientTemperatureC),
      layoutFault(task, vehicle.layout),
    ],
  ].filter((fault) => fault !== null);
  if (errors.length > 0) return { errors };
  const gaugeOverdue = isCalibrationOverdue(gauge, doneOn);
  const judged = judgedOrRefused({
    task,
    measured,
    limits: limitsOf(vehicle, task),
    ambientTemperatureC,
    altitudeM,
    isGaugeOverdue: gaugeOverdue === true,
    mainAccumulator: mainAccumulatorOf(place),
  });
  if ('errors' in judged) return judged;
  const { outcome, reasons, findings, limits } = judged;
  const test: RecordedTest = {
    vehicleId: vehicle.vehicleId,
    fleetId: vehicle.fleetId,
    task,
    doneAt: new Date(doneAt),
    measured,
    limits,
    outcome,
    outcomeReasons:
      gaugeOverdue === true
        ? [
            ...reasons,
            `The calibration of gauge ${gauge?.code ?? ''} was due on ${gauge?.calibrationDueOn ?? ''}.`,
          ]
        : [...reasons],
    findings,
    ambientTemperatureC,
    altitudeM,
    gaugeId,
    gaugeOverdue,
    doneBy,
    note,
    externalKey: row.externalKey ?? null,
  };
  return { test };
}

function judgedOrRefused(test: TestToJudge): JudgedTest | { errors: FieldError[] } {
  try {
    return judgedTest(test);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const { field, message, remedy } = error;
    return { errors: [{ pointer: `#/${field.replaceAll('.', '/')}`, detail: message, remedy }] };
  }
}

/** What somebody said of a test; the rest follows from it and from the programme of the day. */
function statedIn(test: SystemTest | RecordedTest): unknown[] {
  const { vehicleId, task, doneAt, measured, ambientTemperatureC, altitudeM, gaugeId, doneBy, note } = test;
  const figures = measuredOf(measured);
  return [vehicleId, task, doneAt.getTime(), figures, ambientTemperatureC, altitudeM, gaugeId, doneBy, note];
}

function identityOf({ vehicleId, task, doneAt, measured }: SystemTest | RecordedTest): string {
  // in the order of the fields, whatever the order in which the database keeps them
  return JSON.stringify([vehicleId, task, doneAt.getTime(), measuredOf(measured)]);
}
