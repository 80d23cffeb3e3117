import { completePlan } from '../../../src/core/downtime-plan/complete-plan';
import type { PlanDraft, PlanProblem } from '../../../src/core/downtime-plan/plan-problem';
import { tinyPlanProblem } from '../../bench/made-plan-problem';
import { bruteForcePlan } from '../../support/plan-brute-force';
import { checkPlan, spreadOfVisit } from '../../support/plan-check';

const dayOf = (problem: PlanProblem, { visits }: PlanDraft, vehicle: number, item: number): number | null => {
  const visit = visits.find((each) => each.vehicle === vehicle && each.items.includes(item));
  const spread = visit && spreadOfVisit(problem, visit);
  return typeof spread === 'object' ? spread.lastDay : null;
};

describe('one vehicle, one bay', () => {
  const free = (...days: number[]): PlanProblem => ({
    dayCount: 6,
    resources: ['bays'],
    workshops: [
      {
        freeMinutes: Int32Array.from({ length: 6 }, (_, day) => (days.includes(day) ? 60 : 0)),
        visitMinutes: new Int32Array(6).fill(60),
        keepsOvernight: false,
      },
    ],
    depots: [{ spareVehicles: new Int32Array(6).fill(1) }],
    vehicles: [
      {
        depot: 0,
        reach: [{ workshop: 0, visitCost: 100 }],
        blackoutDays: [],
        items: [
          {
            minutes: [60],
            earliestDay: 0,
            latestDay: 2,
            dueDay: 0,
            dayCosts: Int32Array.of(0, 40, 80),
            leftOutCost: 2_080,
            doFirst: [],
            settles: [],
          },
        ],
      },
    ],
  });
  const completed = (problem: PlanProblem) => completePlan(problem, bruteForcePlan(problem));

  test('done in time, it stays as it is', () => {
    const problem = free(1, 4);
    expect(completed(problem)).toEqual({ problem, draft: bruteForcePlan(problem) });
  });

  test('too late is better than never, and the sooner the better', () => {
    const { problem, draft } = completed(free(4, 5));
    expect(draft).toMatchObject({ visits: [{ day: 4 }], leftOut: [] });
    // dearer than the last day in time by half of what leaving it out costs beyond that, and a little more each day
    expect(Array.from(problem.vehicles[0]!.items[0]!.dayCosts)).toEqual([0, 40, 80, 1_082, 1_084, 1_086]);
    expect(draft.cost).toBe(100 + 1_084);
  });

  test('where there is no day at all it is left out still', () => {
    expect(completed(free()).draft).toMatchObject({ visits: [], leftOut: [{ vehicle: 0, item: 0 }] });
  });
});

describe('random problems, what the best plan leaves out', () => {
  const cases = Array.from({ length: 150 }, (_, seed) => {
    const problem = tinyPlanProblem(seed);
    const draft = bruteForcePlan(problem);
    return { problem, draft, completed: completePlan(problem, draft) };
  });
  const leftOutOf = ({ leftOut }: PlanDraft): string[] =>
    leftOut.map(({ vehicle, item }) => `${vehicle} ${item}`);

  test('is put behind its last day where there is room, in a plan that is feasible and costs no more', () => {
    let late = 0;
    for (const { problem, draft, completed } of cases) {
      expect(checkPlan(completed.problem, completed.draft)).toEqual([]);
      expect(completed.draft.cost).toBeLessThanOrEqual(draft.cost);
      for (const { vehicle, item } of draft.leftOut) {
        const day = dayOf(completed.problem, completed.draft, vehicle, item);
        if (day !== null && day > problem.vehicles[vehicle]!.items[item]!.latestDay) late++;
      }
    }
    expect(late).toBeGreaterThan(20);
  });

  test('nothing else gets a wider window, and who left nothing out stays as planned', () => {
    for (const { problem, draft, completed } of cases) {
      const leftOut = leftOutOf(draft);
      problem.vehicles.forEach(({ items }, vehicle) => {
        const after = completed.problem.vehicles[vehicle]!.items;
        items.forEach((item, index) => {
          const isWider = leftOut.includes(`${vehicle} ${index}`);
          const { latestDay, dayCosts } = after[index]!;
          expect(dayCosts.slice(0, item.dayCosts.length)).toEqual(item.dayCosts);
          expect(latestDay).toBe(isWider ? problem.dayCount - 1 : item.latestDay);
          expect({ ...after[index]!, latestDay: 0, dayCosts: [] }).toEqual({
            ...item,
            latestDay: 0,
            dayCosts: [],
          });
        });
        if (leftOut.some((each) => each.startsWith(`${vehicle} `))) return;
        const visitsIn = (plan: PlanDraft) => plan.visits.filter((visit) => visit.vehicle === vehicle);
        expect(visitsIn(completed.draft)).toEqual(visitsIn(draft));
      });
    }
  });

  test('a day behind the last one costs more than the last one, and less than leaving it out, if that is dear at all', () => {
    for (const { problem, draft, completed } of cases)
      for (const { vehicle, item } of draft.leftOut) {
        const before = problem.vehicles[vehicle]!.items[item]!;
        const { dayCosts, leftOutCost } = completed.problem.vehicles[vehicle]!.items[item]!;
        const last = before.dayCosts.at(-1)!;
        if (leftOutCost <= last) continue;
        for (const cost of dayCosts.slice(before.dayCosts.length)) {
          expect(cost).toBeGreaterThan(last);
          expect(cost).toBeLessThan(leftOutCost);
        }
      }
  });
});
