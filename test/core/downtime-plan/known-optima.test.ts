import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import { soakOr } from '../../support/soak';
import type { SolvedProblem } from '../../support/solve-published-problems';

const ROOT = join(__dirname, '../../..');

function solve(...question: string[]): SolvedProblem[] {
  const scripts = ['test/support/require-typescript.js', 'test/support/solve-published-problems.ts'] as const;
  const args = ['--require', join(ROOT, scripts[0]), join(ROOT, scripts[1]), ...question];
  return JSON.parse(execFileSync(process.execPath, args, { encoding: 'utf8', cwd: ROOT })) as SolvedProblem[];
}

const faultsOf = (problems: readonly SolvedProblem[]): SolvedProblem[] =>
  problems.filter(({ faults, bound, optimalCost }) => faults.length > 0 || bound > optimalCost);

// OR-Library (Beasley 1990), files gap1 to gap6 and the maxima published with them: see test/reference/assignment
test('generalised assignment: within 0.5 % of all thirty published maxima, most reached, no bound across', () => {
  const problems = solve('assignments');
  expect(problems).toHaveLength(30);
  expect(faultsOf(problems)).toEqual([]);
  const short = problems.filter(({ profit, optimalProfit }) => profit! < 0.995 * optimalProfit!);
  expect(short).toEqual([]);
  const reached = problems.filter(({ profit, optimalProfit }) => profit === optimalProfit);
  expect(reached.length).toBeGreaterThanOrEqual(24);
}, 300_000);

// the optimum is proven by HiGHS (J. Hall and others, an open-source solver) on the model with a column for each visit
test('fleets of 14 vehicles: four of five within 1 % of the proven optimum, none beyond 2.5 %, no bound across', () => {
  const problems = solve('fleets', String(soakOr(10, 3)), '45');
  expect(faultsOf(problems)).toEqual([]);
  const beyond = (share: number): string[] =>
    problems.filter(({ cost, optimalCost }) => cost > (1 + share) * optimalCost).map(({ name }) => name);
  expect(problems.filter(({ cost, optimalCost }) => cost < optimalCost)).toEqual([]);
  expect(beyond(0.025)).toEqual([]);
  expect(beyond(0.01).length).toBeLessThanOrEqual(Math.floor(problems.length / 5));
}, 900_000);
