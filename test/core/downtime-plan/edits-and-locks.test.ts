import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import type { EditedPlan } from '../../support/edited-plan-check';

const ROOT = join(__dirname, '../../..');
const SEEDS = 200;

let plans: EditedPlan[];

beforeAll(() => {
  const script = ['test/support/require-typescript.js', 'test/support/check-edited-plans.ts'] as const;
  const args = ['--require', join(ROOT, script[0]), join(ROOT, script[1]), String(SEEDS)];
  plans = JSON.parse(execFileSync(process.execPath, args, { encoding: 'utf8', cwd: ROOT })) as EditedPlan[];
}, 240_000);

test(`${SEEDS} fleets, planned, edited and planned again: feasible, locks kept, forbidden days free, conflicts told where they are`, () => {
  expect(plans.map(({ seed }) => seed)).toEqual(Array.from({ length: SEEDS }, (_, at) => at + 1));
  expect(plans.filter(({ faults }) => faults.length > 0)).toEqual([]);
});

test('every visit that no lock binds has a time, a bay and people, whatever the gaps in the diaries', () => {
  expect(plans.filter(({ withoutPlace }) => withoutPlace > 0)).toEqual([]);
});

test('the fleets have all of it: locks that can be and locks that cannot, forbidden days, work that comes too late', () => {
  const sum = (of: (plan: EditedPlan) => number): number => plans.reduce((all, plan) => all + of(plan), 0);
  expect(sum(({ visits }) => visits)).toBeGreaterThan(10 * SEEDS);
  expect(sum(({ locked }) => locked)).toBeGreaterThan(3 * SEEDS);
  expect(sum(({ impossible }) => impossible)).toBeGreaterThan(SEEDS);
  expect(sum(({ forbidden }) => forbidden)).toBeGreaterThan(3 * SEEDS);
  expect(sum(({ late }) => late)).toBeGreaterThan(SEEDS);
});
