import {
  type PlanDraft,
  type PlannedVisit,
  type PlanProblem,
} from '../../src/core/downtime-plan/plan-problem';
import { spreadOfVisit } from './plan-check';

/** A visit of one vehicle that could be, if no other vehicle needed anything. */
interface PossibleVisit {
  visit: PlannedVisit;
  /** set of its items, a bit each */
  mask: number;
  lastDay: number;
  cost: number;
}

/** All that may become of one vehicle, with what it takes of every row that runs short. */
interface VehiclePlan {
  visits: readonly PlannedVisit[];
  leftOutMask: number;
  cost: number;
  takes: readonly (readonly [row: number, amount: number])[];
}

/**
 * The cheapest plan of a tiny problem, by going through all plans of each vehicle and all their combinations; a
 * combination is given up when it takes more than there is, or cannot become cheaper than the best one known.
 *
 * @throws RangeError for more than four vehicles, eight days or four items of a vehicle
 */
export function bruteForcePlan(problem: PlanProblem): PlanDraft {
  const { vehicles, dayCount } = problem;
  if (vehicles.length > 4 || dayCount > 8 || vehicles.some(({ items }) => items.length > 4))
    throw new RangeError(
      'too large to try every plan: at most four vehicles, eight days and four items each',
    );
  const free = capacities(problem);
  const choices = vehicles.map((_, vehicle) => plansOfVehicle(problem, vehicle, free));
  const best = cheapestCombination(choices, free);
  return {
    visits: best.flatMap(({ visits }) => visits),
    leftOut: best.flatMap(({ leftOutMask }, vehicle) =>
      itemsOf(leftOutMask).map((item) => ({ vehicle, item })),
    ),
    cost: best.reduce((sum, { cost }) => sum + cost, 0),
  };
}

/** Minutes by workshop, day and resource, then vehicles by depot and day. */
function capacities({ workshops, depots }: PlanProblem): number[] {
  return [
    ...workshops.flatMap(({ freeMinutes }) => Array.from(freeMinutes)),
    ...depots.flatMap(({ spareVehicles }) => Array.from(spareVehicles)),
  ];
}

function itemsOf(mask: number): number[] {
  return [0, 1, 2, 3].filter((item) => (mask & (1 << item)) !== 0);
}

/** Every plan of a vehicle that is feasible by itself, the cheapest first; of those that take the same, the cheapest. */
function plansOfVehicle(problem: PlanProblem, vehicle: number, free: readonly number[]): VehiclePlan[] {
  const { items } = problem.vehicles[vehicle]!;
  const possible = possibleVisits(problem, vehicle);
  const cheapest = new Map<string, VehiclePlan>();

  const keep = (chosen: readonly PossibleVisit[], leftOutMask: number): void => {
    if (!isInOrder(problem, vehicle, chosen)) return;
    const takes = rowsTaken(problem, chosen);
    if (takes.some(([row, amount]) => amount > free[row]!)) return;
    const cost =
      chosen.reduce((sum, each) => sum + each.cost, 0) +
      itemsOf(leftOutMask).reduce((sum, item) => sum + items[item]!.leftOutCost, 0);
    const key = takes.join(';');
    const known = cheapest.get(key);
    if (known !== undefined && known.cost <= cost) return;
    const visits = chosen.map(({ visit }) => visit).sort((a, b) => a.day - b.day);
    cheapest.set(key, { visits, leftOutMask, cost, takes });
  };
  const extend = (chosen: readonly PossibleVisit[], leftMask: number, leftOutMask: number): void => {
    if (leftMask === 0) {
      keep(chosen, leftOutMask);
      return;
    }
    const lowest = leftMask & -leftMask;
    extend(chosen, leftMask & ~lowest, leftOutMask | lowest);
    for (const visit of possible) {
      if ((visit.mask & lowest) === 0 || (visit.mask & leftMask) !== visit.mask) continue;
      if (chosen.some((other) => visit.visit.day <= other.lastDay && other.visit.day <= visit.lastDay))
        continue;
      extend([...chosen, visit], leftMask & ~visit.mask, leftOutMask);
    }
  };
  extend([], (1 << items.length) - 1, 0);
  return [...cheapest.values()].sort((a, b) => a.cost - b.cost);
}

function possibleVisits(problem: PlanProblem, vehicle: number): PossibleVisit[] {
  const { reach, items, blackoutDays } = problem.vehicles[vehicle]!;
  const found: PossibleVisit[] = [];
  for (const { workshop, visitCost } of reach)
    for (let day = 0; day < problem.dayCount; day++)
      for (let mask = 1; mask < 1 << items.length; mask++) {
        const visit = { vehicle, workshop, day, items: itemsOf(mask) };
        const spread = spreadOfVisit(problem, visit);
        if (typeof spread === 'string') continue;
        const { lastDay } = spread;
        const isInWindow = visit.items.every(
          (item) => items[item]!.earliestDay <= day && lastDay <= items[item]!.latestDay,
        );
        if (!isInWindow || blackoutDays.some((each) => day <= each && each <= lastDay)) continue;
        const cost = visit.items.reduce(
          (sum, item) => sum + items[item]!.dayCosts[lastDay - items[item]!.earliestDay]!,
          visitCost,
        );
        found.push({ visit, mask, lastDay, cost });
      }
  return found;
}

function isInOrder(problem: PlanProblem, vehicle: number, chosen: readonly PossibleVisit[]): boolean {
  const dayOf = (item: number): number =>
    chosen.find(({ mask }) => (mask & (1 << item)) !== 0)?.visit.day ?? Infinity;
  return problem.vehicles[vehicle]!.items.every(({ doFirst }, item) =>
    doFirst.every((first) => dayOf(item) === Infinity || dayOf(first) <= dayOf(item)),
  );
}

function rowsTaken(problem: PlanProblem, chosen: readonly PossibleVisit[]): [row: number, amount: number][] {
  const { dayCount, resources, workshops, vehicles } = problem;
  const takes = new Map<number, number>();
  const take = (row: number, amount: number): void => {
    if (amount > 0) takes.set(row, (takes.get(row) ?? 0) + amount);
  };
  for (const { visit, lastDay } of chosen) {
    const spread = spreadOfVisit(problem, visit);
    if (typeof spread === 'string') throw new Error(`a visit that ${spread} was thought possible`);
    for (const { day, minutes } of spread.work)
      minutes.forEach((amount, resource) =>
        take((visit.workshop * dayCount + day) * resources.length + resource, amount),
      );
    const firstDepotRow = workshops.length * dayCount * resources.length;
    for (let day = visit.day; day <= lastDay; day++)
      take(firstDepotRow + vehicles[visit.vehicle]!.depot * dayCount + day, 1);
  }
  return [...takes].sort(([a], [b]) => a - b);
}

function cheapestCombination(choices: readonly VehiclePlan[][], free: readonly number[]): VehiclePlan[] {
  const left = [...free];
  // what the vehicles from here on cost at the least, each by itself
  const atLeast = new Array<number>(choices.length + 1).fill(0);
  for (let vehicle = choices.length - 1; vehicle >= 0; vehicle--)
    atLeast[vehicle] = atLeast[vehicle + 1]! + choices[vehicle]![0]!.cost;
  let best: VehiclePlan[] = [];
  let bestCost = Infinity;
  const chosen: VehiclePlan[] = [];
  const search = (vehicle: number, costSoFar: number): void => {
    if (vehicle === choices.length) {
      best = [...chosen];
      bestCost = costSoFar;
      return;
    }
    for (const plan of choices[vehicle]!) {
      if (costSoFar + plan.cost + atLeast[vehicle + 1]! >= bestCost) return;
      if (plan.takes.some(([row, amount]) => amount > left[row]!)) continue;
      for (const [row, amount] of plan.takes) left[row]! -= amount;
      chosen.push(plan);
      search(vehicle + 1, costSoFar + plan.cost);
      chosen.pop();
      for (const [row, amount] of plan.takes) left[row]! += amount;
    }
  };
  search(0, 0);
  return best;
}
