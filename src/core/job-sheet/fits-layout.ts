import { applicableTests, HydraulicTest, TestApplicability } from '../hydraulics/applicable-tests';
import { HydraulicLayout } from '../hydraulics/hydraulic-layout';
import { roleOfPosition, UnitRole } from '../hydraulics/unit-positions';

// Tasks whose results are figures, and the test of the layout that each is. Common practice, no published source.
const SYSTEM_TESTS: ReadonlyMap<string, HydraulicTest> = new Map([
  ['regulator-cycle-test', 'main-accumulator-stopwatch'],
  ['cut-in-cut-out-reading', 'regulator-cut-in-and-cut-out'],
  ['low-pressure-warning-test', 'low-pressure-warning'],
  ['anti-sink-hold-test', 'anti-sink-hold'],
  ['brake-reserve-test', 'brake-reserve'],
  ['steering-regulator-check', 'steering-regulator-pressure'],
]);

const TASKS_ON_A_UNIT = ['precharge-test', 'recharge'];
const UNIT_TESTS: Readonly<Record<UnitRole, HydraulicTest | null>> = {
  suspension: 'suspension-unit-precharge',
  'main-accumulator': 'main-accumulator-precharge',
  'rear-brake-accumulator': 'rear-brake-accumulator-precharge',
  other: null,
};

/** Whether a task is a test of the vehicle's system, which is judged by its figures. */
export function isSystemTest(task: string): boolean {
  return SYSTEM_TESTS.has(task);
}

/** Whether a piece of work belongs on the sheet of a vehicle. */
export interface LayoutFit {
  /** Why it is left out; null where it is a step. */
  leftOutBecause: string | null;
  /** What to make sure of before the step is done; null where nothing is in doubt. */
  condition: string | null;
}

/**
 * Holds a piece of work against the layout: a test of a part that the vehicle does not have, or work on a gas unit
 * where there is none, is left out; where nobody knows whether the part is there, somebody has to look first. A unit
 * that is recorded where the layout has none is no reason to leave its work out: one of the two records is wrong.
 *
 * @param layout the effective layout (`effectiveLayout`)
 * @param hasUnit a gas unit is recorded at the position
 */
export function fitsLayout(
  { task, position }: { readonly task: string | null; readonly position: string | null },
  layout: HydraulicLayout,
  hasUnit: boolean,
): LayoutFit {
  const found = applicabilityOf(task, position, layout);
  if (found === null || found.applicability === 'applies' || (found.applicability === 'unknown' && hasUnit))
    return { leftOutBecause: null, condition: null };
  if (found.applicability === 'unknown')
    return { leftOutBecause: null, condition: `Only if it applies: ${found.because}. Look first.` };
  return hasUnit
    ? {
        leftOutBecause: null,
        condition: `The layout contradicts the unit that is recorded here: ${found.because}. Look first, and correct the record.`,
      }
    : { leftOutBecause: `Does not apply: ${found.because}.`, condition: null };
}

function applicabilityOf(
  task: string | null,
  position: string | null,
  layout: HydraulicLayout,
): TestApplicability | null {
  if (task === null) return null;
  const role = position === null ? null : roleOfPosition(position);
  const ofUnit = role !== null && TASKS_ON_A_UNIT.includes(task) ? UNIT_TESTS[role] : null;
  const test = ofUnit ?? SYSTEM_TESTS.get(task) ?? null;
  return applicableTests(layout).find((each) => each.test === test) ?? null;
}
