import {
  PlanExplainer,
  type ItemExplanation,
  type Relaxation,
} from '../../../src/core/downtime-plan/explain-plan';
import type {
  PlanDraft,
  PlanItem,
  PlanProblem,
  PlanVehicle,
} from '../../../src/core/downtime-plan/plan-problem';
import { tinyPlanProblem } from '../../bench/made-plan-problem';
import { bruteForcePlan } from '../../support/plan-brute-force';
import { spreadOfVisit } from '../../support/plan-check';

const DAYS = 6;
const days = (amount: number): Int32Array => new Int32Array(DAYS).fill(amount);

/** Any day, due on day 3; 10 for each day it is away from it. */
const item = (change: Partial<PlanItem> = {}): PlanItem => {
  const { earliestDay = 0, latestDay = DAYS - 1, dueDay = 3 } = change;
  return {
    minutes: [60, 60, 60],
    earliestDay,
    latestDay,
    dueDay,
    dayCosts: Int32Array.from(
      { length: latestDay - earliestDay + 1 },
      (_, at) => 10 * Math.abs(earliestDay + at - dueDay),
    ),
    leftOutCost: 1_000,
    doFirst: [],
    settles: [],
    ...change,
  };
};
const vehicle = (items: PlanItem[], change: Partial<PlanVehicle> = {}): PlanVehicle => ({
  depot: 0,
  reach: [{ workshop: 0, visitCost: 100 }],
  blackoutDays: [],
  items,
  ...change,
});
/** One workshop, open for 100 minutes every day, with that much free of each resource unless it is said otherwise. */
const problemOf = (
  vehicles: PlanVehicle[],
  free: Partial<Record<'bays' | 'people' | 'hydraulics', number>> = {},
  change: Partial<PlanProblem> = {},
): PlanProblem => ({
  dayCount: DAYS,
  resources: ['bays', 'people', 'hydraulics'],
  workshops: [
    {
      freeMinutes: Int32Array.from({ length: 3 * DAYS }, (_, row) =>
        [free.bays ?? 1_000, free.people ?? 1_000, free.hydraulics ?? 1_000].at(row % 3)!,
      ),
      visitMinutes: days(100),
      keepsOvernight: false,
    },
  ],
  depots: [{ spareVehicles: days(9) }],
  vehicles,
  ...change,
});

/** What is said of the last vehicle in the best of all plans. */
function explained(problem: PlanProblem): ItemExplanation[] {
  return new PlanExplainer(problem, bruteForcePlan(problem)).explain(problem.vehicles.length - 1);
}
const reasonsOf = (problem: PlanProblem) =>
  explained(problem).map(({ plannedDay, because, relaxations }) => ({
    plannedDay,
    because,
    relaxations: relaxations.map(({ relaxed, saves, dayThen }) => [
      relaxed.kind === 'resource' ? relaxed.resource : relaxed.kind,
      saves,
      dayThen,
    ]),
  }));

// two vehicles are due on day 3, and being there on it is worth more to the first
const FIRST = vehicle([item({ dayCosts: Int32Array.of(900, 900, 900, 0, 900, 900) })]);

describe('each reason, on a case of its own', () => {
  test('on the day it is due', () => {
    expect(reasonsOf(problemOf([vehicle([item()])]))).toEqual([
      { plannedDay: 3, because: 'on-due-day', relaxations: [] },
    ]);
  });

  test.each([
    ['was due before the plan', { dueDay: -2 }, 0],
    ['may not be done so early', { earliestDay: 4 }, 4],
    ['may not be done so late', { latestDay: 1 }, 1],
  ])('it %s', (_, window, plannedDay) => {
    expect(reasonsOf(problemOf([vehicle([item(window)])]))).toEqual([
      { plannedDay, because: 'due-day-outside-window', relaxations: [] },
    ]);
  });

  test('no workshop is open on that day', () => {
    const problem = problemOf([vehicle([item()])]);
    const [workshop] = problem.workshops;
    const closed = { ...workshop!, visitMinutes: Int32Array.of(100, 100, 100, 0, 100, 100) };
    expect(reasonsOf({ ...problem, workshops: [closed] })).toMatchObject([
      { because: 'closed-on-due-day', relaxations: [] },
    ]);
    // where another one within reach is open, it is the dearer way there that keeps it off
    const reach = [
      { workshop: 0, visitCost: 100 },
      { workshop: 1, visitCost: 200 },
    ];
    const two = { ...problem, workshops: [closed, workshop!], vehicles: [vehicle([item()], { reach })] };
    expect(reasonsOf(two)).toMatchObject([{ because: 'cheaper-this-way' }]);
  });

  test.each(['bays', 'people', 'hydraulics'] as const)('%s run short', (resource) => {
    expect(reasonsOf(problemOf([FIRST, vehicle([item()])], { [resource]: 100 }))).toMatchObject([
      { because: 'runs-short', relaxations: [[resource, 10, 3]] },
    ]);
  });

  test('the depot can spare no second vehicle', () => {
    const depots = [{ spareVehicles: days(1) }];
    expect(reasonsOf(problemOf([FIRST, vehicle([item()])], {}, { depots }))).toMatchObject([
      { because: 'runs-short', relaxations: [['roster', 10, 3]] },
    ]);
  });

  test('the vehicle has to stay on the road', () => {
    expect(reasonsOf(problemOf([vehicle([item()], { blackoutDays: [2, 3, 4] })]))).toMatchObject([
      { because: 'runs-short', relaxations: [['blackout', 20, 3]] },
    ]);
  });

  test('several things run short, and no single one is to blame', () => {
    const short = { bays: 100, people: 100 };
    expect(reasonsOf(problemOf([FIRST, vehicle([item()])], short))).toMatchObject([
      { because: 'runs-short', relaxations: [['everything', 10, 3]] },
    ]);
  });

  test('of several that would help by themselves, the one that saves most comes first', () => {
    // people are short on day 3, and the vehicle needed on the road around it: day 4, or day 3 with more people
    const problem = problemOf([FIRST, vehicle([item()], { blackoutDays: [2, 4] })], { people: 100 });
    expect(reasonsOf(problem)).toMatchObject([
      {
        relaxations: [
          ['people', 20, 3],
          ['blackout', 10, expect.any(Number)],
        ],
      },
    ]);
  });

  test('to share a visit is cheaper', () => {
    const both = [item({ dueDay: 1 }), item({ dueDay: 4 })];
    const [first, second] = reasonsOf(
      problemOf([vehicle(both.map((each) => ({ ...each, minutes: [40, 40, 0] })))]),
    );
    expect(first!.plannedDay).toBe(second!.plannedDay);
    expect([first!.because, second!.because]).toContain('cheaper-this-way');
    for (const { relaxations } of [first!, second!]) expect(relaxations).toEqual([]);
  });

  test('left out, as nobody is there for it', () => {
    expect(reasonsOf(problemOf([vehicle([item()])], { hydraulics: 0 }))).toEqual([
      { plannedDay: null, because: 'runs-short', relaxations: [['hydraulics', 900, 3]] },
    ]);
  });

  test('left out, as that costs least', () => {
    expect(reasonsOf(problemOf([vehicle([item({ leftOutCost: 99 })])]))).toEqual([
      { plannedDay: null, because: 'cheaper-this-way', relaxations: [] },
    ]);
  });

  test('work over several days is held against the day on which it is done', () => {
    const long = item({ minutes: [250, 250, 0] });
    const problem = problemOf([vehicle([long])]);
    const overnight = { ...problem.workshops[0]!, keepsOvernight: true };
    expect(reasonsOf({ ...problem, workshops: [overnight] })).toEqual([
      { plannedDay: 3, because: 'on-due-day', relaxations: [] },
    ]);
  });
});

const AMPLE = 100_000;
const NEVER = 1_000_000;

/** One vehicle of a plan with what all others leave. */
function aloneIn(problem: PlanProblem, { visits }: PlanDraft, index: number): PlanProblem {
  const { resources } = problem;
  const workshops = problem.workshops.map((each) => ({ ...each, freeMinutes: each.freeMinutes.slice() }));
  const depots = problem.depots.map(({ spareVehicles }) => ({ spareVehicles: spareVehicles.slice() }));
  for (const visit of visits.filter((each) => each.vehicle !== index)) {
    const spread = spreadOfVisit(problem, visit);
    if (typeof spread === 'string') throw new Error(spread);
    for (const { day, minutes } of spread.work)
      minutes.forEach((each, resource) => {
        workshops[visit.workshop]!.freeMinutes[day * resources.length + resource]! -= each;
      });
    for (let day = visit.day; day <= spread.lastDay; day++)
      depots[problem.vehicles[visit.vehicle]!.depot]!.spareVehicles[day]! -= 1;
  }
  return { ...problem, workshops, depots, vehicles: [problem.vehicles[index]!] };
}

function withMore(problem: PlanProblem, relaxed: Relaxation): PlanProblem {
  const { resources, workshops, depots, vehicles } = problem;
  const all = relaxed.kind === 'everything';
  return {
    ...problem,
    workshops: workshops.map((each) => ({
      ...each,
      freeMinutes: each.freeMinutes.map((minutes, row) =>
        all || (relaxed.kind === 'resource' && resources[row % resources.length] === relaxed.resource)
          ? AMPLE
          : minutes,
      ),
    })),
    depots:
      all || relaxed.kind === 'roster'
        ? depots.map(() => ({ spareVehicles: new Int32Array(problem.dayCount).fill(AMPLE) }))
        : depots,
    vehicles:
      all || relaxed.kind === 'blackout' ? vehicles.map((each) => ({ ...each, blackoutDays: [] })) : vehicles,
  };
}

/** The cheapest plan of the one vehicle that does an item on a day, or leaves it out. */
function costWith(problem: PlanProblem, index: number, day: number | null): number {
  const [only] = problem.vehicles;
  const items = only!.items.map((each, at) =>
    at !== index
      ? each
      : {
          ...each,
          dayCosts: each.dayCosts.map((cost, on) => (each.earliestDay + on === day ? cost : NEVER)),
          leftOutCost: day === null ? each.leftOutCost : NEVER,
        },
  );
  return bruteForcePlan({ ...problem, vehicles: [{ ...only!, items }] }).cost;
}

/** Whether a workshop within reach is open on a day that is nearer to the due day, on the same side of it. */
function isOpenTowards(
  { vehicles, workshops }: PlanProblem,
  index: number,
  plannedDay: number | null,
): boolean {
  const { items, reach } = vehicles[0]!;
  const { earliestDay, latestDay, dueDay } = items[index]!;
  return reach.some(({ workshop }) =>
    Array.from(workshops[workshop]!.visitMinutes).some((minutes, day) => {
      const isNearer = plannedDay === null || (dueDay - day) * Math.sign(dueDay - plannedDay) >= 0;
      const isBetween = plannedDay === null || Math.abs(day - dueDay) < Math.abs(plannedDay - dueDay);
      return minutes > 0 && earliestDay <= day && day <= latestDay && isNearer && isBetween;
    }),
  );
}

describe('laws, on random problems', () => {
  const SEEDS = Array.from({ length: 60 }, (_, seed) => seed + 1);
  const cases = SEEDS.map((seed) => {
    const problem = tinyPlanProblem(seed);
    const draft = bruteForcePlan(problem);
    const explainer = new PlanExplainer(problem, draft);
    return problem.vehicles.map((_, index) => ({
      seed,
      index,
      draft,
      alone: aloneIn(problem, draft, index),
      explanations: explainer.explain(index),
    }));
  }).flat();
  const singles = ({ resources, vehicles }: PlanProblem): Relaxation[] => [
    ...resources.map((resource) => ({ kind: 'resource', resource }) as const),
    { kind: 'roster' },
    ...(vehicles[0]!.blackoutDays.length > 0 ? [{ kind: 'blackout' } as const] : []),
  ];
  const costOf = (problem: PlanProblem): number => bruteForcePlan(problem).cost;

  test('to relax something never costs more, and everything at once saves as much as any single one', () => {
    for (const { alone } of cases) {
      const now = costOf(alone);
      const each = singles(alone).map((relaxed) => costOf(withMore(alone, relaxed)));
      expect(Math.max(...each)).toBeLessThanOrEqual(now);
      expect(costOf(withMore(alone, { kind: 'everything' }))).toBeLessThanOrEqual(Math.min(...each));
    }
  });

  test('what a relaxation saves is what the vehicle costs less when it is planned again with it alone', () => {
    let told = 0;
    for (const { alone, explanations } of cases)
      for (const { item: index, relaxations } of explanations)
        for (const { relaxed, saves, dayThen } of relaxations) {
          const relaxedProblem = withMore(alone, relaxed);
          const cost = costOf(relaxedProblem);
          expect(saves).toBe(costOf(alone) - cost);
          expect(saves).toBeGreaterThan(0);
          expect(costWith(relaxedProblem, index, dayThen)).toBe(cost);
          told++;
        }
    expect(told).toBeGreaterThan(50);
  });

  test('only what brings an item nearer to its due day is told, and nothing that surely would is kept back', () => {
    const seen = new Map<string, number>();
    for (const { alone, explanations, draft, index: own, seed } of cases) {
      const now = costOf(alone);
      for (const { item: index, dueDay, plannedDay, because, relaxations } of explanations) {
        seen.set(because, (seen.get(because) ?? 0) + 1);
        const apart = (day: number | null): number => (day === null ? Infinity : Math.abs(day - dueDay));
        for (const { dayThen } of relaxations) expect(apart(dayThen)).toBeLessThan(apart(plannedDay));
        expect(relaxations.length > 0).toBe(because === 'runs-short');
        expect(because === 'on-due-day').toBe(plannedDay === dueDay);
        const visit = draft.visits.find((each) => each.vehicle === own && each.items.includes(index));
        const spread = visit && spreadOfVisit(tinyPlanProblem(seed), visit);
        expect(plannedDay).toBe(typeof spread === 'object' ? spread.lastDay : null);
        if (because === 'on-due-day' || because === 'runs-short') continue;
        if (because !== 'due-day-outside-window')
          expect(because === 'closed-on-due-day').toBe(!isOpenTowards(alone, index, plannedDay));
        // none of the best plans with more of something keeps it as far away, so it would have been told
        for (const relaxed of [...singles(alone), { kind: 'everything' } as const]) {
          const more = withMore(alone, relaxed);
          const cost = costOf(more);
          if (cost === now) continue;
          const { earliestDay, latestDay } = alone.vehicles[0]!.items[index]!;
          const window = Array.from({ length: latestDay - earliestDay + 1 }, (_, at) => earliestDay + at);
          const best = [...window, null].filter((day) => costWith(more, index, day) === cost);
          expect(best.some((day) => apart(day) >= apart(plannedDay))).toBe(true);
        }
      }
    }
    // the random problems have all reasons in them
    expect([...seen.keys()].sort()).toEqual([
      'cheaper-this-way',
      'closed-on-due-day',
      'due-day-outside-window',
      'on-due-day',
      'runs-short',
    ]);
  });

  test('to explain a vehicle changes nothing for those that are asked for later', () => {
    const problem = tinyPlanProblem(5);
    const draft = bruteForcePlan(problem);
    const explainer = new PlanExplainer(problem, draft);
    const forwards = problem.vehicles.map((_, index) => explainer.explain(index));
    const backwards = problem.vehicles.map((_, index) => index).reverse();
    const again = new PlanExplainer(problem, draft);
    for (const index of backwards) expect(again.explain(index)).toEqual(forwards[index]);
  });
});
