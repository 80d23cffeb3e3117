import fc from 'fast-check';
import { NO_TEST_LIMITS, type TestLimits } from '../../../src/core/due/test-limits';
import {
  FITTED_ANSWERS,
  PUMP_KINDS,
  STEERING_REGULATORS,
  STEERING_SUPPLIES,
  UNVERIFIED_LAYOUT,
  type HydraulicLayout,
} from '../../../src/core/hydraulics/hydraulic-layout';
import { cautionsFor } from '../../../src/core/hydraulics/cautions';
import { effectiveLayout } from '../../../src/core/hydraulics/layout-conclusions';
import { changedDates } from '../../../src/core/job-sheet/changed-dates';
import { expectations } from '../../../src/core/job-sheet/expectations';
import type { SheetUnit } from '../../../src/core/job-sheet/job-sheet';
import { jobSheetOf, RELEASE_CHECKS, type SheetWork } from '../../../src/core/job-sheet/job-sheet-of';
import { releaseVerdict, STEP_OUTCOMES, type StepOutcome } from '../../../src/core/job-sheet/release-verdict';

const SPLIT: HydraulicLayout = {
  pumpKind: 'split',
  antiSinkValves: 'fitted',
  rearBrakeAccumulator: 'fitted',
  steeringSupply: 'own-section',
  steeringRegulator: 'integral',
  fluid: 'mineral',
  reservoirLitres: 5,
};
const SINGLE: HydraulicLayout = {
  ...SPLIT,
  pumpKind: 'single-outlet',
  antiSinkValves: 'not-fitted',
  rearBrakeAccumulator: 'not-fitted',
  steeringSupply: 'shared-supply',
};
// about 80 to 100 bar, 140 and 170 bar: common practice, no published source
const LIMITS: TestLimits = {
  ...NO_TEST_LIMITS,
  warningLowBar: 80,
  warningHighBar: 100,
  cutInLowBar: 130,
  cutInHighBar: 150,
  cutOutLowBar: 160,
  cutOutHighBar: 180,
  highestSinkMmPerHour: 5,
  warningNotWithinApplications: 3,
  shortestCycleSeconds: 10,
};
const UNIT: SheetUnit = {
  unitId: 'u',
  serialNumber: 'FL-1',
  typeName: 'Suspension unit',
  gasVolumeCm3: 400,
  nominal20BarGauge: 55,
  limit20BarGauge: 44,
};

const work = (task: string | null, more: Partial<SheetWork> = {}): SheetWork => ({
  dueItemKey: task,
  cycle: '1',
  task,
  title: task ?? 'Look it over',
  position: null,
  minutes: 20,
  competences: [],
  consumables: [],
  safetyCritical: false,
  doBefore: [],
  ...more,
});
const sheetOf = (layout: HydraulicLayout, ...booked: SheetWork[]) =>
  jobSheetOf({
    work: booked,
    layout,
    evidence: {},
    units: new Map([['suspension-front-left', UNIT]]),
    limitsOf: () => LIMITS,
    unitExchanged: false,
  });
const keys = (layout: HydraulicLayout, ...booked: SheetWork[]): string[] =>
  sheetOf(layout, ...booked).steps.map(({ key }) => key);

// Which work calls for the checks before release: common practice, no published source
describe('checks before release', () => {
  test.each<[string, SheetWork, boolean]>([
    ['a fluid change', work('fluid-change', { competences: ['hydraulics'] }), true],
    ['a fluid change that asks for no competence', work('fluid-change'), true],
    ['cleaning of the filter', work('filter-clean'), true],
    ['work on the pressure supply', work('pressure-supply-work'), true],
    ['a recharge', work('recharge', { position: 'suspension-front-left' }), true],
    ['brake work', work(null, { title: 'Pads', competences: ['brakes'] }), true],
    ['a test of the main accumulator', work('precharge-test', { position: 'main-accumulator' }), true],
    ['a test of a suspension unit', work('precharge-test', { position: 'suspension-front-left' }), false],
    ['a reading of the regulator', work('cut-in-cut-out-reading', { competences: ['hydraulics'] }), false],
    ['body repair', work(null, { title: 'Body repair' }), false],
  ])('%s', (_, booked, asks) => {
    const added = sheetOf(SINGLE, booked).steps.filter(({ why }) => why === 'release-check');
    expect(added.map(({ task }) => task)).toEqual(asks ? [...RELEASE_CHECKS] : []);
    expect(added.every(({ safetyCritical, required }) => safetyCritical && required)).toBe(true);
  });

  test('are not asked for twice where one of them is booked', () => {
    const booked = [work('fluid-change', { competences: ['hydraulics'] }), work('brake-reserve-test')];
    expect(keys(SINGLE, ...booked)).toEqual([
      'odometer-reading',
      'fluid-change',
      'low-pressure-warning-test',
      'brake-reserve-test',
    ]);
  });
});

describe('what the layout makes of a sheet', () => {
  test('a test of valves that are not there is left out, one of valves that may be there waits for a look', () => {
    const hold = work('anti-sink-hold-test');
    expect(keys(SPLIT, hold)).toEqual(['odometer-reading', 'anti-sink-hold-test']);
    expect(keys(SINGLE, hold)).toEqual(['odometer-reading']);
    expect(sheetOf(SINGLE, hold).leftOut[0]?.because).toContain('not fitted');
    const unsure = sheetOf(
      { ...SINGLE, antiSinkValves: 'unverified', rearBrakeAccumulator: 'unverified' },
      hold,
    );
    expect(unsure.steps.map(({ key, required }) => [key, required])).toEqual([
      ['odometer-reading', true],
      ['inspection@antiSinkValves', true],
      ['inspection@rearBrakeAccumulator', true],
      ['anti-sink-hold-test', true],
    ]);
    expect(unsure.steps.at(-1)?.instructions[0]).toMatch(/^Only if it applies: .*Look first\.$/);
  });

  test('a missing rear brake accumulator behind anti-sink valves is on the sheet', () => {
    const sheet = sheetOf({ ...SPLIT, rearBrakeAccumulator: 'not-fitted' }, work('filter-clean'));
    expect(sheet.safetyFindings).toMatchObject([{ status: 'stands' }]);
  });

  test('what has to come first does, and two pieces of work of one name are told apart', () => {
    const change = work('fluid-change', { doBefore: ['precharge-test'] });
    const test = work('precharge-test', { position: 'suspension-front-left' });
    const steps = keys(SINGLE, change, test, work(null), work(null));
    expect(steps.slice(1)).toEqual([
      'precharge-test@suspension-front-left',
      'fluid-change',
      'extra: Look it over',
      'extra: Look it over (2)',
      ...RELEASE_CHECKS,
    ]);
  });

  test('limits and the unit stand in words', () => {
    expect(expectations('precharge-test', 'precharge-test', UNIT, LIMITS)).toEqual([
      'Unit FL-1, Suspension unit.',
      'Precharge at 20 °C not below 44 bar (nominal 55 bar).',
    ]);
    expect(expectations('charge', 'recharge', UNIT, LIMITS)[1]).toBe(
      'Charge with dry nitrogen to 55 bar at 20 °C.',
    );
    expect(expectations('system-test', 'cut-in-cut-out-reading', null, LIMITS)).toEqual([
      'Cut-in between 130 and 150 bar.',
      'Cut-out between 160 and 180 bar.',
    ]);
    expect(expectations('system-test', 'low-pressure-warning-test', null, NO_TEST_LIMITS)).toEqual([]);
  });
});

const anyLayout: fc.Arbitrary<HydraulicLayout> = fc.record({
  pumpKind: fc.constantFrom(...PUMP_KINDS),
  antiSinkValves: fc.constantFrom(...FITTED_ANSWERS),
  rearBrakeAccumulator: fc.constantFrom(...FITTED_ANSWERS),
  steeringSupply: fc.constantFrom(...STEERING_SUPPLIES),
  steeringRegulator: fc.constantFrom(...STEERING_REGULATORS),
  fluid: fc.constantFrom('mineral', 'glycol', null),
  reservoirLitres: fc.constantFrom(5, null),
});
const TASKS = [
  'fluid-change',
  'precharge-test',
  'recharge',
  'anti-sink-hold-test',
  'brake-reserve-test',
  'steering-regulator-check',
  null,
];
const anyWork = fc
  .record({ task: fc.constantFrom(...TASKS), critical: fc.boolean(), hydraulics: fc.boolean() })
  .map(({ task, critical, hydraulics }) =>
    work(task, {
      safetyCritical: critical,
      competences: hydraulics ? ['hydraulics'] : [],
      position: task === 'recharge' || task === 'precharge-test' ? 'suspension-front-left' : null,
    }),
  );
const anyBooked = fc.array(anyWork, { maxLength: 6 });

describe('laws of every sheet', () => {
  test('keys are unique, cautions belong to the layout, no step is of a part that is not there', () => {
    fc.assert(
      fc.property(anyLayout, anyBooked, (layout, booked) => {
        const sheet = sheetOf(layout, ...booked);
        const all = sheet.steps.map(({ key }) => key);
        expect(new Set(all).size).toBe(all.length);
        expect(all[0]).toBe('odometer-reading');
        const own = cautionsFor(effectiveLayout(layout).layout).map(({ text }) => text);
        for (const { text } of sheet.cautions) expect(own).toContain(text);
        expect(new Set(sheet.cautions.map(({ text }) => text)).size).toBe(sheet.cautions.length);
        if (effectiveLayout(layout).layout.antiSinkValves === 'not-fitted')
          expect(sheet.steps.map(({ task }) => task)).not.toContain('anti-sink-hold-test');
        expect(
          sheet.steps.filter(
            ({ why }) => why !== 'always' && why !== 'inspection' && why !== 'release-check',
          ),
        ).toHaveLength(booked.length - sheet.leftOut.length);
      }),
    );
  });

  test('a failed safety-critical step holds the vehicle, whatever else was found or asked', () => {
    const anyOutcomes = fc.array(fc.constantFrom(...STEP_OUTCOMES), { minLength: 20, maxLength: 20 });
    fc.assert(
      fc.property(anyLayout, anyBooked, anyOutcomes, fc.boolean(), (layout, booked, drawn, standing) => {
        const sheet = sheetOf(layout, ...booked);
        const outcomes = new Map<string, StepOutcome>(
          sheet.steps.map(({ key }, index) => [key, drawn[index] ?? 'done']),
        );
        const verdict = releaseVerdict(sheet, outcomes, standing ? ['Held by hand.'] : [], null);
        const failed = sheet.steps.some((step) => step.safetyCritical && outcomes.get(step.key) === 'failed');
        const unchecked = sheet.steps.some(
          (step) => step.beforeRelease && outcomes.get(step.key) !== 'passed',
        );
        expect(verdict.decision).toBe(failed || unchecked || standing ? 'hold' : 'release');
        expect(verdict.reasons.length > 0).toBe(verdict.decision === 'hold');
        // a further failure never turns a hold into a release
        for (const { key } of sheet.steps) {
          const standingReasons = standing ? ['Held by hand.'] : [];
          const worse = releaseVerdict(sheet, new Map(outcomes).set(key, 'failed'), standingReasons, null);
          if (verdict.decision === 'hold') expect(worse.decision).toBe('hold');
        }
      }),
    );
  });

  test('a vehicle of which nobody knows anything is looked at in every fact', () => {
    expect(keys(UNVERIFIED_LAYOUT).filter((key) => key.startsWith('inspection@'))).toHaveLength(7);
  });
});

test('changed dates are those whose date or piece of work is another', () => {
  const item = (key: string, cycle: string, dueOn: string | null) => ({
    key,
    cycle,
    title: key,
    position: null,
    dueOn,
  });
  expect(
    changedDates(
      [item('a', '1', '2026-12-01'), item('b', '1', '2027-01-01'), item('gone', '1', '2027-02-01')],
      [item('a', '2', '2028-12-01'), item('b', '1', '2027-01-01'), item('new', '1', null)],
    ),
  ).toEqual([
    { key: 'a', title: 'a', position: null, dueOnBefore: '2026-12-01', dueOnAfter: '2028-12-01' },
    { key: 'gone', title: 'gone', position: null, dueOnBefore: '2027-02-01', dueOnAfter: null },
    { key: 'new', title: 'new', position: null, dueOnBefore: null, dueOnAfter: null },
  ]);
});
