import {
  dayCostsOf,
  type PlanItem,
  type PlanProblem,
  type PlanVehicle,
  type PlanWorkshop,
} from '../../src/core/downtime-plan/plan-problem';
import { SeededRandom } from '../../src/core/shared/seeded-random';

const RESOURCES = ['bays', 'people', 'hydraulics'];

/**
 * At most four vehicles, eight days and four items each, so tight that much is left out; with every rule of the model in
 * some of them: days on the road, what is done first, what settles what (in circles too), in every third nights in a
 * workshop. Small enough to try every plan. The same seed makes the same problem.
 */
export function tinyPlanProblem(seed: number): PlanProblem {
  const random = new SeededRandom(seed);
  const withStays = seed % 3 === 0;
  const dayCount = withStays ? 8 : random.integer(5, 8);
  const workshops = Array.from({ length: random.integer(1, 2) }, () =>
    tinyWorkshop(random, dayCount, withStays),
  );
  const depots = Array.from({ length: random.integer(1, 2) }, () => ({
    spareVehicles: Int32Array.from({ length: dayCount }, () =>
      random.next() < 0.1 ? 0 : random.integer(1, 2),
    ),
  }));
  const vehicles = Array.from({ length: random.integer(2, 4) }, (): PlanVehicle => {
    const reachable = [...workshops.keys()].filter((workshop) => workshop === 0 || random.next() < 0.7);
    const items = Array.from({ length: random.integer(1, 4) }, () =>
      tinyItem(random, dayCount, withStays && random.next() < 0.4),
    );
    return {
      depot: random.integer(0, depots.length - 1),
      reach: reachable.map((workshop) => ({
        workshop,
        visitCost: random.integer(150, 250) + 120 * workshop,
      })),
      blackoutDays: [...Array(dayCount).keys()].filter(() => random.next() < 0.08),
      items: relate(random, items),
    };
  });
  const problem = { dayCount, resources: RESOURCES, workshops, depots, vehicles };
  return seed % 2 === 0 ? withLifts(problem) : problem;
}

/** Some of the work takes a lift, and few lifts are in the bays for hydraulics. */
function withLifts(problem: PlanProblem): PlanProblem {
  const [bays, hydraulics] = [0, RESOURCES.indexOf('hydraulics')];
  const workshops = problem.workshops.map((workshop) => {
    const rows = Array.from({ length: problem.dayCount }, (_, day) => {
      const row = workshop.freeMinutes.subarray(day * RESOURCES.length, (day + 1) * RESOURCES.length);
      return [...row, row[bays]!, Math.floor(row[bays]! / 2)];
    });
    return { ...workshop, freeMinutes: Int32Array.from(rows.flat()) };
  });
  const vehicles = problem.vehicles.map((vehicle) => ({
    ...vehicle,
    items: vehicle.items.map((item) => {
      const [length = 0] = item.minutes;
      return { ...item, minutes: [...item.minutes, length % 20 === 0 ? length : 0, 0] };
    }),
  }));
  const resources = [...RESOURCES, 'lifts', 'lifts for hydraulics'];
  return { ...problem, resources, joint: [[hydraulics, RESOURCES.length]], workshops, vehicles };
}

function tinyWorkshop(random: SeededRandom, dayCount: number, withStays: boolean): PlanWorkshop {
  const visitMinutes = Int32Array.from({ length: dayCount }, () =>
    random.next() < 0.12 ? 0 : 10 * random.integer(6, 12),
  );
  const freeMinutes = Int32Array.from({ length: dayCount * RESOURCES.length }, (_, row) => {
    const dayMinutes = visitMinutes[Math.floor(row / RESOURCES.length)]!;
    return Math.floor((dayMinutes * random.integer(6, row % RESOURCES.length === 1 ? 24 : 18)) / 10);
  });
  return { freeMinutes, visitMinutes, keepsOvernight: withStays && random.next() < 0.8 };
}

function tinyItem(random: SeededRandom, dayCount: number, isLong: boolean): PlanItem {
  const minutes = isLong ? random.integer(125, 200) : 10 * random.integer(2, 7);
  const earliestDay = random.integer(0, dayCount - (isLong ? 4 : 2));
  const latestDay = Math.min(dayCount - 1, earliestDay + random.integer(isLong ? 3 : 0, isLong ? 7 : 5));
  const window = { earliestDay, latestDay, dueDay: random.integer(earliestDay - 1, latestDay + 1) };
  return {
    ...window,
    minutes: [
      minutes,
      random.next() < 0.2 ? 2 * minutes : minutes,
      random.next() < 0.5 ? Math.floor(minutes * random.next()) : 0,
    ],
    dayCosts: dayCostsOf(window, random.integer(0, 60), random.integer(20, 150)),
    leftOutCost: random.integer(500, 4_000),
    doFirst: [],
    settles: [],
  };
}

function relate(random: SeededRandom, items: readonly PlanItem[]): PlanItem[] {
  // what is done first follows a random rank, so it is never a circle
  const rank = items.map(() => random.next());
  return items.map((item, index) => {
    const others = [...items.keys()].filter((other) => other !== index);
    return {
      ...item,
      doFirst: others.filter((other) => rank[other]! < rank[index]! && random.next() < 0.2),
      settles: others.filter(() => random.next() < 0.1),
    };
  });
}
