import { DowntimePlanner } from '../../src/core/downtime-plan/downtime-planner';
import type { PlanProblem } from '../../src/core/downtime-plan/plan-problem';
import { madePlanProblem } from '../bench/made-plan-problem';
import { assignmentProblems } from '../reference/assignment';
import { checkPlan } from './plan-check';
import { milpPlan } from './plan-milp';

/** What the planner made of a problem whose optimum is known from elsewhere. */
export interface SolvedProblem {
  name: string;
  faults: string[];
  cost: number;
  bound: number;
  optimalCost: number;
  /** as published, the larger the better; null where the cost is all there is */
  profit: number | null;
  optimalProfit: number | null;
}

const BUDGET = { seed: 1, boundPasses: 60, cutPasses: 60, searchIterations: 20_000 };

function solved(problem: PlanProblem) {
  const planner = new DowntimePlanner(problem, BUDGET);
  while (planner.advance());
  const draft = planner.best();
  return { draft, faults: checkPlan(problem, draft), cost: draft.cost, bound: planner.progress.bound };
}

function assignments(): SolvedProblem[] {
  return assignmentProblems().map(({ name, problem, optimum, optimumCost, profitOf }) => {
    const { draft, ...found } = solved(problem);
    return { name, ...found, optimalCost: optimumCost, profit: profitOf(draft), optimalProfit: optimum };
  });
}

async function fleets(count: number, days: number): Promise<SolvedProblem[]> {
  const all: SolvedProblem[] = [];
  for (let seed = 1; seed <= count; seed++) {
    const tightness = 0.7 + 0.025 * seed;
    const problem = madePlanProblem({ vehicles: 14, seed, days, tightness });
    const referee = await milpPlan(problem, { seconds: 600 });
    if (!referee.isProven) throw new Error(`the referee has no proof for seed ${seed}`);
    const { draft, ...found } = solved(problem);
    const optimum = { optimalCost: referee.draft.cost, profit: null, optimalProfit: null };
    all.push({ name: `fleet ${seed} of ${draft.visits.length} visits`, ...found, ...optimum });
  }
  return all;
}

async function main([what, count, days]: readonly string[]): Promise<void> {
  const found = what === 'assignments' ? assignments() : await fleets(Number(count), Number(days));
  console.log(JSON.stringify(found));
}

// Run as a process of its own: planning is several times slower within Jest.
void main(process.argv.slice(2));
