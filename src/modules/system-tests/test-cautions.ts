import { STOPWATCH_IS_NO_GAUGE } from '../../core/gas/gas-cautions';
import { cautionsFor, type CautionContext } from '../../core/hydraulics/cautions';
import { UNVERIFIED_LAYOUT, type HydraulicLayout } from '../../core/hydraulics/hydraulic-layout';
import { effectiveLayout } from '../../core/hydraulics/layout-conclusions';
import type { TestCautionDto } from './dto/system-test.dto';
import type { SystemTestTask } from '../../core/tests/system-test';

// whoever tests the pressure supply or the brakes is about to work on them, or to release the vehicle
const CONTEXTS: Record<SystemTestTask, readonly CautionContext[]> = {
  'regulator-cycle-test': ['any-work', 'brakes-supply-or-anti-sink', 'computed-figure'],
  'cut-in-cut-out-reading': ['any-work', 'brakes-supply-or-anti-sink'],
  'low-pressure-warning-test': ['any-work', 'brakes-supply-or-anti-sink'],
  'anti-sink-hold-test': ['any-work', 'brakes-supply-or-anti-sink'],
  'brake-reserve-test': ['any-work', 'brakes-supply-or-anti-sink'],
  'steering-regulator-check': ['any-work'],
};

/** The cautions that belong to a test on a vehicle. */
export function testCautions(task: SystemTestTask, recorded: HydraulicLayout | null): TestCautionDto[] {
  const { layout } = effectiveLayout(recorded ?? UNVERIFIED_LAYOUT);
  const ofWork = cautionsFor(layout).filter(({ shownFor }) =>
    CONTEXTS[task].some((context) => shownFor.includes(context)),
  );
  const all = task === 'regulator-cycle-test' ? [STOPWATCH_IS_NO_GAUGE, ...ofWork] : ofWork;
  return all.map(({ code, text }) => ({ code, text }));
}
