import { foundFact } from '../../../src/modules/job-sheets/found-fact';
import { planResults, type ResultContext } from '../../../src/modules/job-sheets/plan-results';
import type { StepEntry } from '../../../src/modules/job-sheets/step-entry';
import { KNOWN, sheetOf, workOn } from './made-sheets';

const AT = 'suspension-front-left';
const UNIT_STEP = `precharge-test@${AT}`;
const ODOMETER: StepEntry = { key: 'odometer-reading', odometer: 40_000, odometerUnit: 'mi' };
const RESERVE: StepEntry = { key: 'brake-reserve-test', applicationsUntilWarning: 5 };
const WARNING: StepEntry = { key: 'low-pressure-warning-test', warningBarGauge: 90 };
const CHECKS = [WARNING, RESERVE];
const CONTEXT: ResultContext = {
  vehicleId: 'the vehicle',
  arrivedAt: '2026-11-25T08:00:00.000Z',
  finishedAt: '2026-11-25T12:00:00.000Z',
  finishedOn: '2026-11-25',
  doneBy: 'Alder',
  keyPrefix: 'job-sheet:1',
  fittedUnitIds: new Map([[AT, `unit at ${AT}`]]),
  pointerOf: (key, field) => `${key} ${field}`,
};
const ofUnit = (entry: Partial<StepEntry>, more: Partial<ResultContext> = {}) =>
  planResults(
    sheetOf([workOn('precharge-test', { position: AT })], KNOWN, true),
    [ODOMETER, { key: UNIT_STEP, ...entry }, ...CHECKS],
    {
      ...CONTEXT,
      ...more,
    },
  );
const pointersOf = ({ faults }: ReturnType<typeof planResults>) => faults.map(({ pointer }) => pointer);
const READ = { pressureBarGauge: 53, gasTemperatureC: 20 };
const EXCHANGE = { exchange: { serialNumber: '2', takenOutTo: 'on-the-shelf' as const } };

it('sends each result to where it is recorded, under the key of its step', () => {
  const sheet = sheetOf([workOn('fluid-change', { competences: ['hydraulics'] })]);
  const results = planResults(
    sheet,
    [ODOMETER, { key: 'fluid-change', outcome: 'done', note: 'clear' }, ...CHECKS],
    CONTEXT,
  );
  expect(results.faults).toEqual([]);
  expect(results.readings.map(({ row }) => row)).toMatchObject([
    { value: 40_000, unit: 'mi', readAt: CONTEXT.finishedAt, externalKey: 'job-sheet:1:odometer-reading' },
  ]);
  // with the unit that was read, not that of the vehicle
  expect(results.completions.map(({ row }) => row)).toMatchObject([
    {
      task: 'fluid-change',
      outcome: 'done',
      doneOn: '2026-11-25',
      doneBy: 'Alder',
      note: 'clear',
      odometerValue: 40_000,
      odometerUnit: 'mi',
      externalKey: 'job-sheet:1:fluid-change',
    },
  ]);
  expect(results.tests.map(({ row }) => row)).toMatchObject([
    { task: 'low-pressure-warning-test', warningBarGauge: 90 },
    { task: 'brake-reserve-test', applicationsUntilWarning: 5 },
  ]);
});

it('names every step that has no result', () => {
  const results = planResults(
    sheetOf([workOn('fluid-change', { competences: ['hydraulics'] })]),
    [ODOMETER, RESERVE],
    CONTEXT,
  );
  expect(results.faults.map(({ detail }) => detail)).toEqual([
    'There is no result for "fluid-change" (fluid-change).',
    'There is no result for "Check the low-pressure warning before release" (low-pressure-warning-test).',
  ]);
});

describe('a unit', () => {
  it('is measured, and exchanged with or without having been', () => {
    expect(ofUnit(READ)).toMatchObject({
      events: [{ row: { unitId: `unit at ${AT}`, ...READ } }],
      exchanges: [],
    });
    const untested = ofUnit({ notDone: 'leaks', ...EXCHANGE });
    expect(untested).toMatchObject({
      faults: [],
      events: [],
      notDone: [{ reason: 'leaks' }],
      exchanges: [{ row: { removedUnitId: `unit at ${AT}`, position: AT } }],
    });
    expect(ofUnit({ ...READ, ...EXCHANGE }).exchanges).toHaveLength(1);
  });

  it.each([
    ['moved on since', new Map([[AT, 'another unit']])],
    ['taken out since', new Map()],
  ])('that was %s takes no results, and no other unit gives way for it', (_, fittedUnitIds) => {
    for (const entry of [READ, { ...READ, ...EXCHANGE }, { notDone: 'leaks', ...EXCHANGE }]) {
      const results = ofUnit(entry, { fittedUnitIds });
      expect(pointersOf(results)).toEqual([`${UNIT_STEP} key`]);
      expect(results).toMatchObject({ events: [], exchanges: [] });
    }
    expect(ofUnit({ notDone: 'not reached' }, { fittedUnitIds }).faults).toEqual([]);
  });
});

it.each<[string, Partial<StepEntry>, string[]]>([
  ['neither figure', {}, ['pressureBarGauge', 'gasTemperatureC']],
  ['a stated outcome beside the figures', { ...READ, outcome: 'failed' }, ['outcome']],
  ['a moment before the vehicle came', { ...READ, doneAt: '2026-11-25T07:59:59Z' }, ['doneAt']],
  ['a moment after the work', { ...READ, doneAt: '2026-11-25T12:00:01Z' }, ['doneAt']],
])('refuses %s, and says where', (_, entry, fields) => {
  expect(pointersOf(ofUnit(entry))).toEqual(fields.map((field) => `${UNIT_STEP} ${field}`));
});

describe('what an inspection found', () => {
  it.each([
    ['pumpKind', 'split', 'split'],
    ['fluid', ' mineral ', 'mineral'],
    ['reservoirLitres', '5.5', 5.5],
    ['reservoirLitres', '0.1', 0.1],
    ['reservoirLitres', '500', 500],
  ] as const)('%s: %s', (fact, found, value) => {
    expect(foundFact(fact, found)).toEqual({ value });
  });

  it.each([
    ['pumpKind', 'unverified'],
    ['pumpKind', 'two'],
    ['fluid', 'Mineral <b>'],
    ['fluid', ''],
    ['reservoirLitres', 'Infinity'],
    ['reservoirLitres', '5,5'],
    ['reservoirLitres', '0.09'],
    ['reservoirLitres', '501'],
    ['reservoirLitres', ''],
  ] as const)('%s: not %s', (fact, found) => {
    expect(foundFact(fact, found)).toMatchObject({
      remedy: expect.stringContaining('give found as') as string,
    });
  });

  it('is refused with its remedy in the plan', () => {
    const sheet = sheetOf([], { ...KNOWN, reservoirLitres: null });
    const results = planResults(
      sheet,
      [ODOMETER, { key: 'inspection@reservoirLitres', found: 'Infinity' }],
      CONTEXT,
    );
    expect(pointersOf(results)).toEqual(['inspection@reservoirLitres found']);
  });
});
