import {
  type PlanDraft,
  type PlanItem,
  type PlannedVisit,
  type PlanProblem,
  type PlanVehicle,
} from '../../src/core/downtime-plan/plan-problem';

/** The days of a visit and the minutes that it takes on those on which work is done. */
export interface VisitSpread {
  lastDay: number;
  work: { day: number; minutes: number[] }[];
}

type Spread = VisitSpread & { visit: PlannedVisit };

/**
 * Everything that is wrong with a plan, in words; nothing where it is feasible and costs what it says. Knows the model
 * and nothing of how the planner works.
 *
 * @param locked visits that have to stand in the plan as they are
 */
export function checkPlan(
  problem: PlanProblem,
  draft: PlanDraft,
  { locked = [] }: { locked?: readonly PlannedVisit[] } = {},
): string[] {
  const faults: string[] = [];
  const visits = draft.visits.filter((visit) => {
    const fault = unreadable(problem, visit);
    if (fault !== null) faults.push(`${nameOf(visit)} ${fault}`);
    return fault === null;
  });
  const spreads: Spread[] = [];
  for (const visit of visits) {
    const spread = spreadOfVisit(problem, visit);
    if (typeof spread === 'string') faults.push(`${nameOf(visit)} ${spread}`);
    else spreads.push({ ...spread, visit });
  }
  return [
    ...faults,
    ...orderFaults(draft),
    ...onceFaults(problem, draft),
    ...spreads.flatMap((spread) => visitFaults(problem, spread)),
    ...overlapFaults(spreads),
    ...doFirstFaults(problem, visits),
    ...minutesFaults(problem, spreads),
    ...spareFaults(problem, spreads),
    ...costFaults(problem, draft, spreads),
    ...locked
      .filter((visit) => !isPlanned(draft, visit))
      .map((visit) => `${nameOf(visit)} is locked and not planned`),
  ];
}

/**
 * The order in which a vehicle's items are asked whether something settles them: of those left, the lowest index that
 * nothing left settles; where each is settled by another that is left (a circle and what hangs on it), the lowest index.
 */
export function settlingSequence(items: readonly Pick<PlanItem, 'settles'>[]): number[] {
  const sequence: number[] = [];
  const isLeft = items.map(() => true);
  const isFree = (index: number): boolean =>
    items.every((other, at) => at === index || !isLeft[at] || !other.settles.includes(index));
  while (sequence.length < items.length) {
    const left = [...items.keys()].filter((index) => isLeft[index]);
    const next = left.find(isFree) ?? left[0]!;
    isLeft[next] = false;
    sequence.push(next);
  }
  return sequence;
}

/** Those of the items of a visit that take minutes: not settled by one that takes minutes itself and is asked earlier. */
export function carriedOutAt({ items }: PlanVehicle, ofVisit: readonly number[]): number[] {
  const carriedOut: number[] = [];
  for (const index of settlingSequence(items))
    if (ofVisit.includes(index) && !carriedOut.some((earlier) => items[earlier]!.settles.includes(index)))
      carriedOut.push(index);
  return carriedOut;
}

/** What items take of each resource at one visit. */
export function minutesTaken(
  { resources, joint = [] }: PlanProblem,
  vehicle: PlanVehicle,
  items: readonly number[],
): number[] {
  const carriedOut = carriedOutAt(vehicle, items);
  const totals = resources.map((_, resource) =>
    carriedOut.reduce((sum, item) => sum + vehicle.items[item]!.minutes[resource]!, 0),
  );
  for (const [at, of] of joint.entries())
    totals[totals.length - joint.length + at] = of.every((resource) => totals[resource]! > 0)
      ? totals[0]!
      : 0;
  return totals;
}

/**
 * How a visit spreads over days. Work that fits into the day of arrival is done on it. Other work needs a workshop that
 * keeps vehicles overnight and an item that alone is longer than its longest day; it takes of every open day what that
 * day allows, and of everything but the bay its share up to the end of the day, rounded down, less what was taken before.
 *
 * @returns in words why it cannot be
 */
export function spreadOfVisit(problem: PlanProblem, visit: PlannedVisit): VisitSpread | string {
  const { visitMinutes, keepsOvernight } = problem.workshops[visit.workshop]!;
  const vehicle = problem.vehicles[visit.vehicle]!;
  const totals = minutesTaken(problem, vehicle, visit.items);
  const length = totals[0]!;
  const firstDayMinutes = visitMinutes[visit.day]!;
  if (firstDayMinutes === 0) return 'begins on a day when the workshop is closed';
  if (length <= firstDayMinutes) return { lastDay: visit.day, work: [{ day: visit.day, minutes: totals }] };
  const longestDay = Math.max(...visitMinutes);
  const hasLongItem = visit.items.some((item) => vehicle.items[item]!.minutes[0]! > longestDay);
  if (!keepsOvernight) return `takes ${length} minutes, more than the ${firstDayMinutes} of its day`;
  if (!hasLongItem)
    return `takes ${length} minutes, more than the ${firstDayMinutes} of its day, and no item of it has to stay overnight`;
  const work: VisitSpread['work'] = [];
  let done = 0;
  for (let day = visit.day; day < problem.dayCount; day++) {
    const before = done;
    done += Math.min(visitMinutes[day]!, length - done);
    if (done === before) continue;
    work.push({
      day,
      minutes: totals.map((total, resource) =>
        resource === 0
          ? done - before
          : Math.floor((total * done) / length) - Math.floor((total * before) / length),
      ),
    });
    if (done === length) return { lastDay: day, work };
  }
  return 'is not over when the plan ends';
}

function unreadable({ vehicles, workshops, dayCount }: PlanProblem, visit: PlannedVisit): string | null {
  const vehicle = vehicles[visit.vehicle];
  if (vehicle === undefined) return 'is of no known vehicle';
  if (workshops[visit.workshop] === undefined) return 'is at no known workshop';
  if (!Number.isInteger(visit.day) || visit.day < 0 || visit.day >= dayCount)
    return 'is on no day of the plan';
  if (visit.items.length === 0) return 'has no items';
  const unknown = visit.items.find((item) => vehicle.items[item] === undefined);
  if (unknown !== undefined) return `has item ${unknown}, which the vehicle has not`;
  if (!isAscending(visit.items)) return 'has items that are not in ascending order';
  return null;
}

function isAscending(numbers: readonly number[]): boolean {
  return numbers.every((each, at) => at === 0 || numbers[at - 1]! < each);
}

function orderFaults({ visits }: PlanDraft): string[] {
  return visits.flatMap((visit, at) => {
    const last = visits[at - 1];
    const isInOrder =
      last === undefined ||
      last.vehicle < visit.vehicle ||
      (last.vehicle === visit.vehicle && last.day <= visit.day);
    return isInOrder ? [] : [`${nameOf(visit)} is not in order of vehicle and day`];
  });
}

function onceFaults({ vehicles }: PlanProblem, { visits, leftOut }: PlanDraft): string[] {
  const times = vehicles.map(({ items }) => items.map(() => 0));
  const faults: string[] = [];
  for (const { vehicle, items } of visits)
    for (const item of items) if (times[vehicle]?.[item] !== undefined) times[vehicle][item]++;
  for (const { vehicle, item } of leftOut)
    if (times[vehicle]?.[item] === undefined)
      faults.push(`item ${item} of vehicle ${vehicle} is left out and does not exist`);
    else times[vehicle][item]++;
  times.forEach((ofVehicle, vehicle) =>
    ofVehicle.forEach((count, item) => {
      if (count !== 1) faults.push(`item ${item} of vehicle ${vehicle} stands ${count} times in the plan`);
    }),
  );
  return faults;
}

function visitFaults({ vehicles }: PlanProblem, { visit, lastDay }: Spread): string[] {
  const { reach, blackoutDays, items } = vehicles[visit.vehicle]!;
  const faults: string[] = [];
  if (!reach.some(({ workshop }) => workshop === visit.workshop))
    faults.push('is at a workshop out of reach');
  for (const day of blackoutDays)
    if (visit.day <= day && day <= lastDay)
      faults.push(`is on day ${day}, when the vehicle has to stay on the road`);
  for (const index of visit.items) {
    const { earliestDay, latestDay } = items[index]!;
    if (visit.day < earliestDay) faults.push(`is before day ${earliestDay}, the earliest of item ${index}`);
    if (lastDay > latestDay) faults.push(`ends after day ${latestDay}, the latest of item ${index}`);
  }
  return faults.map((fault) => `${nameOf(visit)} ${fault}`);
}

function overlapFaults(spreads: readonly Spread[]): string[] {
  return spreads.flatMap(({ visit }, at) =>
    spreads
      .slice(0, at)
      .filter((other) => other.visit.vehicle === visit.vehicle)
      .filter((other) => other.visit.day <= spreads[at]!.lastDay && visit.day <= other.lastDay)
      .map((other) => `${nameOf(visit)} is while ${nameOf(other.visit)} is not over`),
  );
}

function doFirstFaults({ vehicles }: PlanProblem, visits: readonly PlannedVisit[]): string[] {
  return visits.flatMap((visit) =>
    visit.items.flatMap((index) =>
      vehicles[visit.vehicle]!.items[index]!.doFirst.flatMap((first) => {
        const isDoneFirst = visits.some(
          ({ vehicle, day, items }) => vehicle === visit.vehicle && day <= visit.day && items.includes(first),
        );
        return isDoneFirst ? [] : [`${nameOf(visit)} has item ${index} without item ${first} done first`];
      }),
    ),
  );
}

function minutesFaults(
  { workshops, resources, dayCount }: PlanProblem,
  spreads: readonly Spread[],
): string[] {
  return workshops.flatMap(({ freeMinutes }, workshop) => {
    const taken = new Int32Array(dayCount * resources.length);
    for (const { visit, work } of spreads)
      if (visit.workshop === workshop)
        for (const { day, minutes } of work)
          minutes.forEach((each, resource) => (taken[day * resources.length + resource]! += each));
    return Array.from(taken.keys())
      .filter((row) => taken[row]! > freeMinutes[row]!)
      .map((row) => {
        const day = Math.floor(row / resources.length);
        return `workshop ${workshop} has ${freeMinutes[row]} minutes of ${resources[row % resources.length]} on day ${day}, the plan takes ${taken[row]}`;
      });
  });
}

function spareFaults({ depots, vehicles, dayCount }: PlanProblem, spreads: readonly Spread[]): string[] {
  return depots.flatMap(({ spareVehicles }, depot) => {
    const away = new Int32Array(dayCount);
    for (const { visit, lastDay } of spreads)
      if (vehicles[visit.vehicle]!.depot === depot)
        for (let day = visit.day; day <= lastDay; day++) away[day]!++;
    return Array.from(away.keys())
      .filter((day) => away[day]! > spareVehicles[day]!)
      .map(
        (day) => `depot ${depot} can spare ${spareVehicles[day]} on day ${day}, the plan takes ${away[day]}`,
      );
  });
}

function costFaults({ vehicles }: PlanProblem, draft: PlanDraft, spreads: readonly Spread[]): string[] {
  // what has no price has been found at fault already
  const prices = [
    ...spreads.flatMap(({ visit, lastDay }) => {
      const { reach, items } = vehicles[visit.vehicle]!;
      return [
        reach.find(({ workshop }) => workshop === visit.workshop)?.visitCost,
        ...visit.items.map((item) => items[item]!.dayCosts[lastDay - items[item]!.earliestDay]),
      ];
    }),
    ...draft.leftOut.map(({ vehicle, item }) => vehicles[vehicle]?.items[item]?.leftOutCost),
  ];
  if (spreads.length < draft.visits.length || prices.includes(undefined)) return [];
  const cost = prices.reduce<number>((sum, price) => sum + price!, 0);
  return cost === draft.cost ? [] : [`the plan costs ${cost}, not ${draft.cost}`];
}

function isPlanned({ visits }: PlanDraft, wanted: PlannedVisit): boolean {
  return visits.some(
    ({ vehicle, workshop, day, items }) =>
      vehicle === wanted.vehicle &&
      workshop === wanted.workshop &&
      day === wanted.day &&
      items.join() === wanted.items.join(),
  );
}

function nameOf({ vehicle, workshop, day }: PlannedVisit): string {
  return `the visit of vehicle ${vehicle} at workshop ${workshop} on day ${day}`;
}
