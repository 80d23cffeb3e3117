import { compileProblem } from './compile-problem';
import { DEAREST_DAY, PlanDraft, PlanItem, PlannedVisit, PlanProblem } from './plan-problem';
import { PlanState, stateOf } from './plan-state';
import { VehicleOracle } from './vehicle-oracle';
import { cutTable, VisitPrices } from './visit-prices';

/** An item of a vehicle, by their indices. */
export interface ItemPlace {
  readonly vehicle: number;
  readonly item: number;
}

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
  const wider = withoutLimits(problem, draft.leftOut);
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

/**
 * A plan that somebody else put together, with the wider windows that it needs and what it costs in them. What is left out
 * of it has no limit either.
 *
 * @param visits in order of vehicle, then of day; they fit into what there is
 * @param leftOut every item that is at none of them
 * @param fullOn slots that hold no more than they have to: nothing is free there beside the plan
 */
export function settledPlan(
  problem: PlanProblem,
  visits: readonly PlannedVisit[],
  leftOut: readonly ItemPlace[],
  fullOn: readonly { readonly workshop: number; readonly day: number }[],
): { problem: PlanProblem; draft: PlanDraft } {
  const wider = withoutLimits(problem, [...leftOut, ...lateItems(problem, visits)]);
  const state = stateOf(compileProblem(wider), { visits, leftOut, cost: NaN });
  return { problem: withoutRoom(wider, state, fullOn), draft: state.draft() };
}

/** Items that visits end with after the last day of their window. */
function lateItems(problem: PlanProblem, visits: readonly PlannedVisit[]): ItemPlace[] {
  const all = problem.vehicles.flatMap(({ items }, vehicle) => items.map((_, item) => ({ vehicle, item })));
  const state = stateOf(compileProblem(withoutLimits(problem, all)), { visits, leftOut: [], cost: NaN });
  return problem.vehicles.flatMap(({ items }, vehicle) =>
    [...state.daysDone(vehicle)]
      .filter(([item, day]) => day > items[item]!.latestDay)
      .map(([item]) => ({ vehicle, item })),
  );
}

/** The same with nothing left beside a plan on some days of workshops. */
function withoutRoom(
  problem: PlanProblem,
  { available }: PlanState,
  fullOn: readonly { readonly workshop: number; readonly day: number }[],
): PlanProblem {
  const { dayCount, resources } = problem;
  const workshops = problem.workshops.map((each) => ({ ...each, freeMinutes: each.freeMinutes.slice() }));
  for (const { workshop, day } of fullOn)
    for (let resource = 0; resource < resources.length; resource++) {
      const left = available[(workshop * dayCount + day) * resources.length + resource]!;
      workshops[workshop]!.freeMinutes[day * resources.length + resource]! -= Math.max(0, left);
    }
  return { ...problem, workshops };
}

/** A problem in which some items may be done on any day after their first, dear as it is. */
function withoutLimits(problem: PlanProblem, items: readonly ItemPlace[]): PlanProblem {
  const late = new Set(items.map(({ vehicle, item }) => `${vehicle} ${item}`));
  return {
    ...problem,
    vehicles: problem.vehicles.map((each, vehicle) => ({
      ...each,
      items: each.items.map((item, index) =>
        late.has(`${vehicle} ${index}`) ? withoutLimit(item, problem.dayCount) : item,
      ),
    })),
  };
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
