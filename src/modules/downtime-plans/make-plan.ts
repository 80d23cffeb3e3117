import { completePlan } from '../../core/downtime-plan/complete-plan';
import { DowntimePlanner, gapPercentOf, type PlanBudget } from '../../core/downtime-plan/downtime-planner';
import { PlanExplainer, type ItemExplanation } from '../../core/downtime-plan/explain-plan';
import type { PlanDraft, PlanProblem } from '../../core/downtime-plan/plan-problem';
import type { BuiltProblem } from './build-plan-problem';
import type { PlanInputs } from './plan-inputs';
import { scheduleVisits, type ScheduledPlan } from './schedule-visits';

/** What the search and the diaries came to. */
export interface MadePlan extends ScheduledPlan {
  readonly naive: PlanDraft;
  /** of the problem as it was asked */
  readonly bound: number;
  readonly gapPercent: number;
  readonly stoppedEarly: boolean;
  /** `[vehicle][item]` */
  readonly explanations: readonly (readonly ItemExplanation[])[];
}

/** Runs a planner to the end of its budget, or until nobody wants more. @returns whether it was stopped before */
export type Drive = (planner: DowntimePlanner, isFirst: boolean) => Promise<boolean>;

/** For prices; nobody asks for the bound of what is left. */
const BOUND_PASSES_OF_REST = 30;

/** Plans, finds each visit a place in the diaries, and says why each item is where it is. */
export async function makePlan(
  inputs: PlanInputs,
  built: BuiltProblem,
  budget: PlanBudget,
  drive: Drive,
): Promise<MadePlan> {
  const { problem } = built;
  const planner = new DowntimePlanner(problem, budget);
  const stoppedEarly = await drive(planner, true);
  const { bound } = planner.progress;
  const { draft } = completePlan(problem, planner.best());
  const scheduled = await scheduleVisits(inputs, built, draft, async (rest) => {
    const again = new DowntimePlanner(rest, budgetForRest(budget, problem, rest));
    await drive(again, false);
    return completePlan(rest, again.best()).draft;
  });
  const { cost } = scheduled.draft;
  const explainer = new PlanExplainer(scheduled.problem, scheduled.draft);
  return {
    ...scheduled,
    naive: planner.naive.draft(),
    bound,
    gapPercent: gapPercentOf(cost, bound),
    stoppedEarly,
    explanations: problem.vehicles.map((_, vehicle) => explainer.explain(vehicle)),
  };
}

/** A budget in proportion to the work that is left. */
function budgetForRest(budget: PlanBudget, whole: PlanProblem, rest: PlanProblem): PlanBudget {
  const itemsOf = ({ vehicles }: PlanProblem): number =>
    vehicles.reduce((sum, { items }) => sum + items.length, 0);
  const share = itemsOf(rest) / Math.max(1, itemsOf(whole));
  return {
    seed: budget.seed,
    boundPasses: Math.min(budget.boundPasses, BOUND_PASSES_OF_REST),
    cutPasses: 0,
    searchIterations: Math.ceil(budget.searchIterations * share),
  };
}
