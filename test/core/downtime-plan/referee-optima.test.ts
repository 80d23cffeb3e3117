import { madePlanProblem, tinyPlanProblem } from '../../bench/made-plan-problem';
import { assignmentProblems } from '../../reference/assignment';
import { bruteForcePlan } from '../../support/plan-brute-force';
import { carriedOutAt, checkPlan, spreadOfVisit } from '../../support/plan-check';
import { milpPlan } from '../../support/plan-milp';

describe('two ways to the optimum', () => {
  // for the last two the solver found no plan with all of its presolve on
  const seeds = [...Array(40).keys(), 154, 172];
  test.each(seeds)('tiny problem %d: all plans tried, model solved', async (seed) => {
    const problem = tinyPlanProblem(seed);
    const tried = bruteForcePlan(problem);
    const { isProven, bound, draft } = await milpPlan(problem);
    expect(checkPlan(problem, tried)).toEqual([]);
    expect(checkPlan(problem, draft)).toEqual([]);
    expect({ isProven, bound, cost: draft.cost }).toEqual({
      isProven: true,
      bound: tried.cost,
      cost: tried.cost,
    });
  });

  test('the tiny problems between them have every rule at work', () => {
    const problems = Array.from({ length: 40 }, (_, seed) => tinyPlanProblem(seed));
    const visits = problems.flatMap((problem) =>
      bruteForcePlan(problem).visits.map((visit) => ({
        problem,
        visit,
        vehicle: problem.vehicles[visit.vehicle]!,
      })),
    );
    const isStay = ({ problem, visit }: (typeof visits)[number]): boolean => {
      const spread = spreadOfVisit(problem, visit);
      return typeof spread !== 'string' && spread.lastDay > visit.day;
    };
    const hasSettled = ({ visit, vehicle }: (typeof visits)[number]): boolean =>
      carriedOutAt(vehicle, visit.items).length < visit.items.length;
    const hasOrder = ({ visit, vehicle }: (typeof visits)[number]): boolean =>
      visit.items.some((item) => vehicle.items[item]!.doFirst.length > 0);
    expect(visits.filter(isStay).length).toBeGreaterThan(3);
    expect(visits.filter(hasSettled).length).toBeGreaterThan(3);
    expect(visits.filter(hasOrder).length).toBeGreaterThan(3);
  });

  test('what is too large to try is refused', () => {
    expect(() => bruteForcePlan(madePlanProblem({ vehicles: 5, seed: 1 }))).toThrow('too large to try');
  });

  test('what is too large for a model is refused', async () => {
    await expect(milpPlan(madePlanProblem({ vehicles: 250, seed: 1 }))).rejects.toThrow(
      'too many for a model',
    );
  });

  test.each(assignmentProblems().filter(({ name }) => name.endsWith('-0')))(
    '$name: the model reaches the published maximum $optimum',
    async ({ problem, optimum, optimumCost, profitOf }) => {
      const { isProven, draft } = await milpPlan(problem);
      expect(checkPlan(problem, draft)).toEqual([]);
      expect({ isProven, profit: profitOf(draft), cost: draft.cost }).toEqual({
        isProven: true,
        profit: optimum,
        cost: optimumCost,
      });
    },
  );
});
