import { SeededRandom } from '../../../src/core/shared/seeded-random';
import { buildPlanProblem } from '../../../src/modules/downtime-plans/build-plan-problem';
import { makePlan } from '../../../src/modules/downtime-plans/make-plan';
import type { PlanInputs } from '../../../src/modules/downtime-plans/plan-inputs';
import { planResult } from '../../../src/modules/downtime-plans/plan-result';
import { toTheEnd } from '../../support/drive-planner';
import { bay, booking, dateOf, DAYS, owed, person, planInputs, workshop } from '../../support/plan-inputs';

const PLAN = { organisationId: 'organisation', id: 'plan', fleetId: 'fleet' };

/** The plan of some records, with everything that is said of it. */
async function planned(inputs: PlanInputs) {
  const built = buildPlanProblem(inputs);
  const budget = { seed: 1, boundPasses: 40, cutPasses: 20, searchIterations: 400 };
  const made = await makePlan(inputs, built, budget, toTheEnd);
  const result = planResult(PLAN, inputs, built, made);
  const of = (key: string, vehicleId = 'one') => {
    const found = result.items.find((each) => each.itemKey === key && each.vehicleId === vehicleId)!;
    const { plannedOn, because, relaxations } = found.details;
    return { reason: found.reason, plannedOn, because, relaxations };
  };
  return { ...result, made, of };
}

describe('what a planner reads at once', () => {
  test('nobody within reach is competent, which is another thing than no room', async () => {
    const { of, outcome } = await planned(
      planInputs({
        items: [owed('one', 'brake-check', { competences: ['brakes'] }), owed('one', 'fluid-change')],
      }),
    );
    const nobody = 'No technician at any workshop within reach has the competence brakes.';
    expect(of('brake-check')).toEqual({
      reason: 'left-out',
      plannedOn: null,
      because: nobody,
      relaxations: [
        {
          what: 'more working time of people competent in brakes',
          savesMinor: expect.any(Number) as number,
          thenOn: dateOf(2),
        },
      ],
    });
    expect(of('fluid-change').reason).toBe('on-due-day');
    expect(outcome.conflicts).toMatchObject([{ registrationMark: 'ONE', facts: [nobody] }]);
    expect(outcome.plan).toMatchObject({ itemsDone: 1, itemsLeftOut: 1, itemsTooLate: 1 });
  });

  test('no room beside the rest of the plan, and what would make some', async () => {
    const vehicles = ['one', 'two'];
    // open on one day, for one of the two
    const once = {
      opening: { zone: 'Europe/London', weekly: { 3: [{ from: '08:00', until: '10:00' }] } },
      bays: [bay('lift')],
    };
    const inputs = planInputs({
      vehicles,
      workshops: [workshop('near', once)],
      dayCount: 7,
      items: vehicles.map((id) => owed(id, 'fluid-change', { labourMinutes: 90 })),
    });
    const { items, outcome } = await planned(inputs);
    const leftOut = items.find(({ reason }) => reason === 'left-out')!;
    expect(leftOut.details.because).toMatch(
      /^No day has room for it beside the rest of the plan\. With more of several things at once it would be done on 2026-08-05 and the vehicle's plan would cost EUR [\d.]+ less\.$/,
    );
    expect(outcome.conflicts).toEqual([]);
  });

  test('it has to come after what is left out', async () => {
    const { of } = await planned(
      planInputs({
        items: [
          owed('one', 'brake-check', { competences: ['brakes'], doBefore: [] }),
          owed('one', 'fluid-change', { doBefore: ['brake-check'] }),
        ],
      }),
    );
    expect(of('fluid-change')).toMatchObject({
      reason: 'left-out',
      because: 'It has to come after "Do the brake-check", which is left out.',
    });
  });

  test('it can only be done too late', async () => {
    const inputs = planInputs({
      items: [owed('one', 'fluid-change', { lateOn: dateOf(3) })],
      blackouts: new Map([['one', [{ fromOn: dateOf(0), untilOn: dateOf(7), reason: 'fair' }]]]),
    });
    const { of, outcome } = await planned(inputs);
    expect(of('fluid-change').plannedOn).toBe(dateOf(7));
    expect(of('fluid-change').because).toContain(
      'It cannot be done in time. It has to stay on the road from 2026-08-03 until 2026-08-10: fair.',
    );
    expect(outcome.plan).toMatchObject({ itemsDone: 1, itemsTooLate: 1 });
    expect(outcome.conflicts).toHaveLength(1);
  });

  test('a visit is locked', async () => {
    const item = owed('one', 'fluid-change');
    const lock = { vehicleId: 'one', workshopId: 'near', on: dateOf(4), dueItemKeys: [item.key] };
    const { of, visits } = await planned(
      planInputs({ items: [item], wishes: { locked: [lock], forbidden: [] } }),
    );
    expect(of('fluid-change')).toEqual({
      reason: 'locked',
      plannedOn: dateOf(4),
      because: 'Locked by hand.',
      relaxations: [],
    });
    expect(visits).toMatchObject([{ locked: true, visitOn: dateOf(4), untilOn: dateOf(4), workMinutes: 60 }]);
  });

  test('nothing is open on the day it is due', async () => {
    const sunday = dateOf(6);
    const item = owed('one', 'fluid-change', { dueOn: sunday, earlyOn: dateOf(4), lateOn: dateOf(8) });
    const { of } = await planned(planInputs({ items: [item] }));
    expect(of('fluid-change').reason).toBe('due-day-outside-window');
    expect(of('fluid-change').because).toBe(
      `No workshop within reach is open on ${sunday}, the day it is due.`,
    );
  });
});

test('work that has been overdue for years is planned, not left out because it has cost so much', async () => {
  const overdue = (task: string, safetyCritical: boolean) =>
    owed('one', task, { safetyCritical, earlyOn: '2020-04-01', dueOn: '2020-05-01', lateOn: '2020-05-08' });
  const { outcome, of } = await planned(
    planInputs({ items: [overdue('fluid-change', false), overdue('brake-check', true)] }),
  );
  expect(outcome.plan).toMatchObject({ visits: 1, itemsDone: 2, itemsLeftOut: 0 });
  expect(of('fluid-change')).toMatchObject({
    plannedOn: dateOf(0),
    reason: 'due-day-outside-window',
    because: 'It was due on 2020-05-01, before the plan begins.',
  });
});

test('of work that a plan takes as one, each item is held against its own due day', async () => {
  // eleven pieces are one too many: two that are due next to each other go together
  const items = Array.from({ length: 11 }, (_, at) =>
    owed('one', `task-${at}`, {
      dueOn: dateOf(at === 10 ? 3 : 2),
      earlyOn: dateOf(at === 10 ? 0 : 1),
      lateOn: dateOf(DAYS),
      labourMinutes: 20,
    }),
  );
  const { items: told } = await planned(planInputs({ items }));
  expect(told).toHaveLength(11);
  for (const { reason, details } of told)
    expect([details.dueOn, reason === 'on-due-day']).toEqual([
      details.dueOn,
      details.plannedOn === details.dueOn,
    ]);
});

test('a vehicle with very much work that shares no day does not keep the others from being planned', async () => {
  const days = [0, 1, 2, 3, 4, 7, 8, 9, 10, 11, 12, 13];
  const onItsDay = days.map((day) =>
    owed('one', `task-${day}`, { earlyOn: dateOf(day), dueOn: dateOf(day), lateOn: dateOf(day) }),
  );
  const inputs = planInputs({ vehicles: ['one', 'two'], items: [...onItsDay, owed('two', 'fluid-change')] });
  const { of, outcome, items } = await planned(inputs);
  expect(items).toHaveLength(13);
  expect(outcome.plan).toMatchObject({ itemsDone: 11, itemsLeftOut: 2 });
  expect(of('fluid-change', 'two').reason).toBe('on-due-day');
  expect(of('task-9').reason).toBe('on-due-day');
  expect(of('task-13')).toMatchObject({
    reason: 'left-out',
    because: expect.stringMatching(
      /^A plan takes 10 pieces of work of one vehicle that share no day/,
    ) as string,
  });
});

test('random records: every item once, with a reason in words, and figures that are those of the search', async () => {
  let leftOut = 0;
  for (let seed = 1; seed <= 30; seed++) {
    const random = new SeededRandom(seed);
    const vehicles = ['one', 'two', 'three', 'four', 'five', 'six'].slice(0, random.integer(2, 6));
    const tasks = ['fluid-change', 'brake-check', 'hose-inspection', 'accumulator-test'];
    const items = vehicles.flatMap((id) =>
      tasks
        .filter(() => random.next() < 0.7)
        .map((task) => {
          const dueOn = dateOf(random.integer(-3, DAYS));
          return owed(id, task, {
            dueOn,
            labourMinutes: 30 * random.integer(1, 8),
            safetyCritical: random.next() < 0.3,
            competences: random.next() < 0.2 ? ['brakes'] : ['hydraulics'],
          });
        }),
    );
    const inputs = planInputs({
      vehicles,
      items,
      workshops: [
        workshop('near', {
          technicians: [person('a', ['hydraulics']), ...(seed % 3 === 0 ? [] : [person('b', ['brakes'])])],
        }),
      ],
      bookings: [booking('one', random.integer(0, 5))],
      neededOnRoad: new Map([['depot', new Array<number>(DAYS).fill(vehicles.length - 1)]]),
    });
    const { items: told, outcome, made, visits } = await planned(inputs);
    expect(told.map((each) => `${each.vehicleId} ${each.itemKey}`).sort()).toEqual(
      items.map(({ vehicleId, key }) => `${vehicleId} ${key}`).sort(),
    );
    for (const { details, reason, visitId } of told) {
      expect(details.because).toMatch(/^[A-Z].*\.$/);
      expect(visitId === null).toBe(reason === 'left-out');
    }
    leftOut += outcome.plan.itemsLeftOut;
    const { plan, naive } = outcome;
    expect(
      visits.reduce((sum, each) => sum + each.visitCostMinor + each.itemCostMinor, 0) + plan.leftOutCostMinor,
    ).toBe(plan.costMinor);
    expect(naive.costMinor).toBe(made.naive.cost);
    // work behind its last day costs the search more than the risk of those days
    const isLate = told.some(
      ({ details: { plannedOn, latestOn } }) => plannedOn !== null && plannedOn > latestOn,
    );
    if (!isLate) expect(plan.costMinor).toBe(made.draft.cost);
    else expect(plan.costMinor).toBeLessThan(made.draft.cost);
  }
  expect(leftOut).toBeGreaterThan(10);
});
