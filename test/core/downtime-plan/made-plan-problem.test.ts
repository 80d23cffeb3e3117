import { type PlanProblem } from '../../../src/core/downtime-plan/plan-problem';
import { madePlanProblem, tinyPlanProblem } from '../../bench/made-plan-problem';
import { carriedOutAt, spreadOfVisit } from '../../support/plan-check';

/** Minutes that all work takes by minutes that all workshops have, by resource. */
function tightnessOf({ resources, workshops, vehicles }: PlanProblem): number[] {
  const items = vehicles.flatMap((vehicle) => vehicle.items);
  return resources.map((_, resource) => {
    const needed = items.reduce((sum, { minutes }) => sum + minutes[resource]!, 0);
    const free = workshops.flatMap(({ freeMinutes }) =>
      Array.from(freeMinutes).filter((_each, row) => row % resources.length === resource),
    );
    return needed / free.reduce((sum, each) => sum + each, 0);
  });
}

/** Items that cannot be done on any day of their window, though nothing else were to be done. */
function itemsWithoutDay(problem: PlanProblem): string[] {
  const { resources, workshops, depots, vehicles } = problem;
  return vehicles.flatMap(({ reach, items, blackoutDays, depot }, vehicle) =>
    items.flatMap(({ earliestDay, latestDay }, item) => {
      for (let day = earliestDay; day <= latestDay; day++) {
        if (blackoutDays.includes(day) || depots[depot]!.spareVehicles[day]! < 1) continue;
        for (const { workshop } of reach) {
          const spread = spreadOfVisit(problem, { vehicle, workshop, day, items: [item] });
          if (typeof spread === 'string') continue;
          const has = workshops[workshop]!.freeMinutes.subarray(day * resources.length);
          if (spread.work[0]!.minutes.every((each, resource) => each <= has[resource]!)) return [];
        }
      }
      return [`item ${item} of vehicle ${vehicle}`];
    }),
  );
}

test.each([
  [20, 0.7],
  [20, 0.95],
  [700, 0.95],
])('%d vehicles, as tight as %d: every item has a day', (vehicles, tightness) => {
  expect(itemsWithoutDay(madePlanProblem({ vehicles, seed: 3, tightness }))).toEqual([]);
});

// a plan that does everything is planted with some overtime, the more the tighter it is
test.each([
  [0.7, 0.01],
  [0.85, 0.02],
  [0.95, 0.06],
])(
  'demand is %d of the bays, less a share of %d at most, and little less of the competences',
  (tightness, loss) => {
    const [bays, ...others] = tightnessOf(madePlanProblem({ vehicles: 700, seed: 2, tightness }));
    expect(bays).toBeLessThan(1.01 * tightness);
    expect(bays).toBeGreaterThan((1 - loss) * tightness);
    for (const each of others) {
      expect(each).toBeGreaterThan(0.85 * tightness);
      expect(each).toBeLessThan(1.03 * tightness);
    }
  },
);

test('a large fleet has workshops and depots in proportion, each depot within reach of up to three', () => {
  const { workshops, depots, vehicles } = madePlanProblem({ vehicles: 2_000, seed: 1 });
  expect([workshops.length, depots.length]).toEqual([6, 25]);
  expect(new Set(vehicles.map(({ reach }) => reach.length))).toEqual(new Set([3]));
  for (const { reach, items } of vehicles) {
    expect(reach[0]!.visitCost).toBeLessThanOrEqual(reach[2]!.visitCost);
    expect(items.length).toBeGreaterThanOrEqual(2);
    expect(items.length).toBeLessThanOrEqual(8);
  }
});

test('what settles another takes its minutes away in some vehicles, and some work follows other work', () => {
  const { vehicles } = madePlanProblem({ vehicles: 100, seed: 1 });
  const settling = vehicles.filter((vehicle) => {
    const all = [...vehicle.items.keys()];
    return carriedOutAt(vehicle, all).length < all.length;
  });
  const following = vehicles.filter(({ items }) => items.some(({ doFirst }) => doFirst.length > 0));
  expect(settling.length).toBeGreaterThan(5);
  expect(following.length).toBeGreaterThan(5);
});

test('the same seed makes the same problem, another one another', () => {
  const options = { vehicles: 30, days: 60 };
  expect(madePlanProblem({ ...options, seed: 5 })).toEqual(madePlanProblem({ ...options, seed: 5 }));
  expect(madePlanProblem({ ...options, seed: 5 })).not.toEqual(madePlanProblem({ ...options, seed: 6 }));
  expect(tinyPlanProblem(5)).toEqual(tinyPlanProblem(5));
  expect(tinyPlanProblem(5)).not.toEqual(tinyPlanProblem(6));
});

test('less than two weeks are refused', () => {
  expect(() => madePlanProblem({ vehicles: 1, seed: 1, days: 13 })).toThrow('at least 14 days');
});
