import { compileProblem } from './compile-problem';
import { DEAREST_DAY, PlanDraft, PlanItem, PlanProblem } from './plan-problem';
import { stateOf } from './plan-state';
import { VehicleOracle } from './vehicle-oracle';
import { cutTable, VisitPrices } from './visit-prices';

/**
 * Puts what a plan leaves out behind its last day, into what is left, since late is better than never: vehicle by vehicle,
 * each planned again by itself. After its last day an item costs half of what leaving it out costs beyond that day, and
 * a thousandth more for each day.
 *
 * @returns the problem with the wider windows, and a plan that is feasible in it
 */
export function completePlan(
  problem: PlanProblem,
  draft: PlanDraft,
): { problem: PlanProblem; draft: PlanDraft } {
  const late = new Set(draft.leftOut.map(({ vehicle, item }) => `${vehicle} ${item}`));
  const wider: PlanProblem = {
    ...problem,
    vehicles: problem.vehicles.map((each, vehicle) => ({
      ...each,
      items: each.items.map((item, index) =>
        late.has(`${vehicle} ${index}`) ? withoutLimit(item, problem.dayCount) : item,
      ),
    })),
  };
  const compiled = compileProblem(wider);
  const state = stateOf(compiled, draft);
  const oracle = new VehicleOracle(compiled);
  const prices = new VisitPrices(compiled, cutTable(compiled, []));
  for (const vehicle of new Set(draft.leftOut.map((each) => each.vehicle))) {
    state.remove(vehicle);
    oracle.solve(vehicle, prices, state.available);
    state.putSolved(vehicle, oracle);
  }
  return { problem: wider, draft: state.draft() };
}

function withoutLimit(item: PlanItem, dayCount: number): PlanItem {
  const { earliestDay, latestDay, dayCosts, leftOutCost } = item;
  const wider = new Int32Array(dayCount - earliestDay);
  wider.set(dayCosts);
  const lastCost = dayCosts.at(-1) ?? 0;
  for (let day = latestDay + 1; day < dayCount; day++) {
    const share = 1 / 2 + (day - latestDay) / 1000;
    const cost = Math.round(lastCost + share * (leftOutCost - lastCost));
    wider[day - earliestDay] = Math.min(cost, DEAREST_DAY);
  }
  return { ...item, latestDay: dayCount - 1, dayCosts: wider };
}
