import fc from 'fast-check';
import { NO_TEST_LIMITS } from '../../../src/core/due/test-limits';
import type { HydraulicLayout } from '../../../src/core/hydraulics/hydraulic-layout';
import { UNIT_POSITIONS } from '../../../src/core/hydraulics/unit-positions';
import type { JobSheet, SheetUnit } from '../../../src/core/job-sheet/job-sheet';
import { jobSheetOf, type SheetWork } from '../../../src/core/job-sheet/job-sheet-of';

/** A vehicle without anti-sink valves of which everything is known. */
export const KNOWN: HydraulicLayout = {
  pumpKind: 'single-outlet',
  antiSinkValves: 'not-fitted',
  rearBrakeAccumulator: 'not-fitted',
  steeringSupply: 'shared-supply',
  steeringRegulator: 'integral',
  fluid: 'mineral',
  reservoirLitres: 5,
};

export function workOn(task: string | null, more: Partial<SheetWork> = {}): SheetWork {
  return {
    dueItemKey: task,
    cycle: task === null ? null : 'first',
    task,
    title: task ?? 'Look it over',
    position: null,
    minutes: 10,
    competences: [],
    consumables: [],
    safetyCritical: false,
    doBefore: [],
    ...more,
  };
}

const unitAt = (position: string): SheetUnit => ({
  unitId: `unit at ${position}`,
  serialNumber: '1',
  typeName: 'Unit, 55 bar',
  gasVolumeCm3: 400,
  nominal20BarGauge: 55,
  limit20BarGauge: 44,
});

/** @param positions where a gas unit is recorded */
export function sheetOf(
  work: readonly SheetWork[],
  layout: HydraulicLayout = KNOWN,
  unitExchanged = false,
  positions: readonly string[] = UNIT_POSITIONS,
): JobSheet {
  return jobSheetOf({
    work,
    layout,
    unitExchanged,
    evidence: {},
    units: new Map(positions.map((position) => [position, unitAt(position)])),
    limitsOf: () => ({ ...NO_TEST_LIMITS, warningLowBar: 80, warningHighBar: 100 }),
  });
}

const TASKS = [
  'fluid-change',
  'hose-and-pipe-inspection',
  'low-pressure-warning-test',
  'brake-reserve-test',
  'anti-sink-hold-test',
  'steering-regulator-check',
  'regulator-cycle-test',
];

const onVehicle = fc
  .record({
    task: fc.constantFrom(...TASKS),
    safetyCritical: fc.boolean(),
    competences: fc.subarray(['hydraulics', 'brakes', 'upholstery']),
  })
  .map(({ task, ...more }) => workOn(task, more));
const onUnit = fc
  .record({
    task: fc.constantFrom('precharge-test', 'recharge'),
    position: fc.constantFrom(...UNIT_POSITIONS),
    safetyCritical: fc.boolean(),
  })
  .map(({ task, ...more }) => workOn(task, more));

const onRequest = fc.constant(null).map(() => workOn(null));

/** Any work, some of it twice. */
export const anyWork = fc.array(fc.oneof(onVehicle, onUnit, onRequest), { maxLength: 8 });
