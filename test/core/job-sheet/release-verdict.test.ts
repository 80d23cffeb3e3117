import fc from 'fast-check';
import { releaseVerdict, STEP_OUTCOMES, type StepOutcome } from '../../../src/core/job-sheet/release-verdict';
import { anyWork, sheetOf, workOn } from './made-sheets';

const CHANGED_FLUID = workOn('fluid-change', { competences: ['hydraulics'] });
const verdict = (
  sheet: ReturnType<typeof sheetOf>,
  outcomes: Record<string, StepOutcome>,
  standing: string[] = [],
  asked: string | null = null,
) => releaseVerdict(sheet, new Map(Object.entries(outcomes)), standing, asked);

const GOOD = {
  'fluid-change': 'done',
  'low-pressure-warning-test': 'passed',
  'brake-reserve-test': 'passed',
} as const;

test.each<[string, Record<string, StepOutcome>, string[], string | null, string[]]>([
  ['all is well', GOOD, [], null, []],
  [
    'the reserve failed',
    { ...GOOD, 'brake-reserve-test': 'failed' },
    [],
    null,
    ['Failed: brake-reserve-test.'],
  ],
  [
    'the reserve is not certain',
    { ...GOOD, 'brake-reserve-test': 'inconclusive' },
    [],
    null,
    ['Not certain: brake-reserve-test.'],
  ],
  [
    'the reserve was not tested',
    { ...GOOD, 'brake-reserve-test': 'not-done' },
    [],
    null,
    ['Not done: brake-reserve-test.'],
  ],
  ['the fluid was not changed', { ...GOOD, 'fluid-change': 'not-done' }, [], null, []],
  ['something else holds the vehicle', GOOD, ['wing is loose'], null, ['wing is loose']],
  ['somebody asks for it', GOOD, [], 'second look', ['second look']],
])('where %s', (_, outcomes, standing, asked, reasons) => {
  // the reserve test was booked, and is safety-critical by no rule
  const sheet = sheetOf([CHANGED_FLUID, workOn('brake-reserve-test')]);
  expect(verdict(sheet, outcomes, standing, asked)).toEqual({
    decision: reasons.length === 0 ? 'release' : 'hold',
    reasons,
  });
});

test('a step without an outcome was not done', () => {
  expect(verdict(sheetOf([CHANGED_FLUID]), {}).reasons).toEqual([
    'Not done: Check the low-pressure warning before release.',
    'Not done: Check the brake reserve before release.',
  ]);
});

const outcome = fc.constantFrom(...STEP_OUTCOMES);
const job = anyWork.chain((work) => {
  const sheet = sheetOf(work);
  const keys = sheet.steps.map(({ key }) => key);
  return fc
    .array(outcome, { minLength: keys.length, maxLength: keys.length })
    .map((ended) => ({ sheet, outcomes: new Map(keys.map((key, place) => [key, ended[place]!])) }));
});

test('a release has passed every check that the work asked for', () => {
  fc.assert(
    fc.property(job, ({ sheet, outcomes }) => {
      if (releaseVerdict(sheet, outcomes, [], null).decision === 'hold') return;
      const checks = sheet.steps.filter(({ beforeRelease }) => beforeRelease);
      expect(checks.every(({ key }) => outcomes.get(key) === 'passed')).toBe(true);
    }),
  );
});
