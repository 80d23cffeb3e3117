import { DowntimePlanner, type PlanBudget } from '../../../src/core/downtime-plan/downtime-planner';
import type { PlanProblem } from '../../../src/core/downtime-plan/plan-problem';
import { madePlanProblem, tinyPlanProblem } from '../../bench/made-plan-problem';
import { bruteForcePlan } from '../../support/plan-brute-force';
import { checkPlan } from '../../support/plan-check';

const SMALL: PlanBudget = { seed: 1, boundPasses: 60, cutPasses: 60, searchIterations: 2_000 };

function made(problem: PlanProblem, budget: PlanBudget): DowntimePlanner {
  const planner = new DowntimePlanner(problem, budget);
  while (planner.advance());
  return planner;
}

test('tiny problems: the optimum of brute force on all of 200 seeds, no bound across', () => {
  for (let seed = 1; seed <= 200; seed++) {
    const problem = tinyPlanProblem(seed);
    const { cost } = bruteForcePlan(problem);
    const planner = made(problem, SMALL);
    const draft = planner.best();
    expect(checkPlan(problem, draft)).toEqual([]);
    expect(checkPlan(problem, planner.naive.draft())).toEqual([]);
    expect(draft.cost).toBe(cost);
    expect(planner.progress.bound).toBeLessThanOrEqual(cost);
  }
});

test('plans of 200 random problems are feasible, the naive ones too', () => {
  for (let seed = 1; seed <= 200; seed++) {
    const problem = madePlanProblem({
      vehicles: 5 + (seed % 16),
      seed,
      days: 30,
      tightness: 0.7 + (seed % 26) / 100,
    });
    const planner = made(problem, { seed, boundPasses: 4, cutPasses: 4, searchIterations: 100 });
    expect(checkPlan(problem, planner.best())).toEqual([]);
    expect(checkPlan(problem, planner.naive.draft())).toEqual([]);
    expect(planner.best().cost).toBeLessThanOrEqual(planner.naive.total);
  }
}, 120_000);

test('the same seed and budget give the same plan; stopped anywhere, it is feasible', () => {
  const problem = madePlanProblem({ vehicles: 40, seed: 3 });
  const budget = { seed: 5, boundPasses: 10, cutPasses: 5, searchIterations: 1_200 };
  expect(made(problem, budget).best()).toEqual(made(problem, budget).best());
  const planner = new DowntimePlanner(problem, budget);
  let before = Infinity;
  while (planner.advance()) {
    const draft = planner.best();
    expect(checkPlan(problem, draft)).toEqual([]);
    expect(draft.cost).toBeLessThanOrEqual(before);
    before = draft.cost;
  }
});
