import { DowntimePlanner, defaultBudget } from '../../src/core/downtime-plan/downtime-planner';
import { madePlanProblem } from './made-plan-problem';

/** What a plan came to, as one process made it from nothing. */
export interface PlanRun {
  vehicles: number;
  items: number;
  cost: number;
  bound: number;
  gapPercent: number;
  leftOut: number;
  /** the naive plan, and what either would cost without its charge for what is left out */
  naiveCost: number;
  naiveLeftOut: number;
  doneCost: number;
  naiveDoneCost: number;
  wallSeconds: number;
  processorSeconds: number;
  rssMb: number;
}

function run(vehicles: number): PlanRun {
  const problem = madePlanProblem({ vehicles, seed: 1 });
  const before = process.cpuUsage();
  const beganAt = performance.now();
  const planner = new DowntimePlanner(problem, defaultBudget(vehicles));
  while (planner.advance());
  const wallSeconds = (performance.now() - beganAt) / 1000;
  const { user, system } = process.cpuUsage(before);
  const { cost, bound, gapPercent } = planner.progress;
  const [plan, naive] = [planner.best(), planner.naive.draft()];
  const chargeOf = ({ leftOut }: typeof plan): number =>
    leftOut.reduce((sum, each) => sum + problem.vehicles[each.vehicle]!.items[each.item]!.leftOutCost, 0);
  return {
    vehicles,
    items: problem.vehicles.reduce((sum, { items }) => sum + items.length, 0),
    cost,
    bound,
    gapPercent,
    leftOut: plan.leftOut.length,
    naiveCost: naive.cost,
    naiveLeftOut: naive.leftOut.length,
    doneCost: cost - chargeOf(plan),
    naiveDoneCost: naive.cost - chargeOf(naive),
    wallSeconds,
    processorSeconds: (user + system) / 1e6,
    rssMb: process.resourceUsage().maxRSS / 1024,
  };
}

console.log(JSON.stringify(run(Number(process.argv[2]))));
