import { tinyPlanProblem } from '../../bench/made-plan-problem';
import { isWhole, lastDayOf, partsOf } from '../../../src/modules/downtime-plans/visit-parts';
import { minutesTaken, spreadOfVisit } from '../../support/plan-check';

test('a visit spreads over its days as the model says', () => {
  let stays = 0;
  for (let seed = 3; seed <= 120; seed += 3) {
    const problem = tinyPlanProblem(seed);
    problem.vehicles.forEach((one, vehicle) => {
      const items = [...one.items.keys()];
      const minutes = minutesTaken(problem, one, items);
      for (const { workshop } of one.reach)
        for (let day = 0; day < problem.dayCount; day++) {
          const spread = spreadOfVisit(problem, { vehicle, workshop, day, items });
          if (typeof spread === 'string') continue;
          const parts = partsOf(problem.workshops[workshop]!, day, minutes);
          expect(parts).toEqual(spread.work);
          expect(isWhole(parts, minutes)).toBe(true);
          expect(lastDayOf(problem.workshops[workshop]!, day, minutes[0]!)).toBe(spread.lastDay);
          if (spread.lastDay > day) stays++;
        }
    });
  }
  expect(stays).toBeGreaterThan(20);
});

test('what the plan does not see the end of is not whole, and takes its days until the last', () => {
  const workshop = { visitMinutes: Int32Array.of(0, 100, 0, 50) };
  const parts = partsOf(workshop, 1, [200, 20]);
  expect(parts).toEqual([
    { day: 1, minutes: [100, 10] },
    { day: 3, minutes: [50, 5] },
  ]);
  expect(isWhole(parts, [200, 20])).toBe(false);
  expect(lastDayOf(workshop, 1, 200)).toBe(3);
  expect(lastDayOf(workshop, 1, 100)).toBe(1);
});
