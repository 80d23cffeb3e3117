import { buildPlanProblem } from '../../../src/modules/downtime-plans/build-plan-problem';
import type { PlanProblem } from '../../../src/core/downtime-plan/plan-problem';
import { bay, booking, dateOf, DAYS, owed, person, planInputs, workshop } from '../../support/plan-inputs';

const minutesOn = ({ workshops, resources }: PlanProblem, day: number, resource: string, at = 0): number =>
  workshops[at]!.freeMinutes[day * resources.length + resources.indexOf(resource)]!;
const spareOn = ({ depots }: PlanProblem, ...days: number[]): number[] =>
  days.map((day) => depots[0]!.spareVehicles[day]!);
const needed = (count: number) => new Map([['depot', new Array<number>(DAYS).fill(count)]]);

test('a depot spares what its roster does not need, less what is booked away, and never less than none', () => {
  const vehicles = ['one', 'two', 'three', 'four'];
  const bookings = [booking('two', 1), booking('three', 1), booking('four', 3)];
  const { problem, awayBooked } = buildPlanProblem(
    planInputs({ vehicles, bookings, neededOnRoad: needed(3) }),
  );
  expect(spareOn(problem, 0, 1, 2, 3)).toEqual([1, 0, 1, 0]);
  expect(awayBooked[0]!.slice(0, 4)).toEqual([0, 2, 0, 1]);
});

test('a vehicle is not planned on days when it has to stay on the road, may not come by a wish, or is booked', () => {
  const vehicles = ['one', 'two'];
  const { problem } = buildPlanProblem(
    planInputs({
      vehicles,
      blackouts: new Map([['one', [{ fromOn: dateOf(-5), untilOn: dateOf(2), reason: 'fair' }]]]),
      wishes: { locked: [], forbidden: [{ vehicleId: 'one', on: dateOf(4) }] },
      bookings: [booking('one', 7, [], { untilAt: booking('one', 8).untilAt }), booking('two', -1)],
    }),
  );
  expect(problem.vehicles.map(({ blackoutDays }) => blackoutDays)).toEqual([[0, 1, 4, 7, 8], []]);
});

test('what is booked is not planned again, nor what it settles by the way', () => {
  const fluid = owed('one', 'fluid-change', { satisfies: ['filter-clean'] });
  const filter = owed('one', 'filter-clean');
  const hoses = owed('one', 'hose-inspection');
  // the same work of a later cycle is another piece of work
  const later = owed('one', 'regulator-check');
  const { parcels, booked } = buildPlanProblem(
    planInputs({
      items: [fluid, filter, hoses, later],
      bookings: [booking('one', 3, [fluid, { ...later, cycle: 'regulator-check 2025' }])],
    }),
  );
  expect(parcels[0]!.flatMap((each) => each.owed.map(({ key }) => key))).toEqual([
    'hose-inspection',
    'regulator-check',
  ]);
  expect(booked.map(({ item, on }) => [item.key, on])).toEqual([
    ['fluid-change', dateOf(3)],
    ['filter-clean', dateOf(3)],
  ]);
});

test('workshops are reached at what a visit and the way cost, the nearest first; unknown ones are left aside', () => {
  const ways = new Map([
    [
      'depot',
      [
        { workshopId: 'far', costMinor: 700 },
        { workshopId: 'gone', costMinor: 800 },
        { workshopId: 'near', costMinor: 900 },
      ],
    ],
  ]);
  const { problem } = buildPlanProblem(planInputs({ workshops: [workshop('near'), workshop('far')], ways }));
  expect(problem.vehicles[0]!.reach).toEqual([
    { workshop: 1, visitCost: 15_700 },
    { workshop: 0, visitCost: 15_900 },
  ]);
});

describe('a locked visit', () => {
  const items = [
    owed('one', 'fluid-change', { labourMinutes: 90, satisfies: ['filter-clean'] }),
    owed('one', 'filter-clean', { labourMinutes: 25 }),
    owed('one', 'hose-inspection', { labourMinutes: 30 }),
  ];
  const locked = {
    vehicleId: 'one',
    workshopId: 'near',
    on: dateOf(1),
    dueItemKeys: ['fluid-change', 'filter-clean'],
  };
  const built = buildPlanProblem(
    planInputs({ vehicles: ['one', 'two'], items, wishes: { locked: [locked], forbidden: [] } }),
  );

  test('takes its work, its time and its vehicle away from the rest of the plan, what it settles no time', () => {
    expect(built.held).toMatchObject([{ vehicle: 0, workshop: 0, day: 1, lastDay: 1 }]);
    expect(built.parcels[0]!.map((each) => each.owed[0]!.key)).toEqual(['hose-inspection']);
    for (const resource of ['bays', 'people', 'bay kind lift', 'competence hydraulics'])
      expect(minutesOn(built.unlocked, 1, resource) - minutesOn(built.problem, 1, resource)).toBe(90);
    expect(minutesOn(built.problem, 2, 'bays')).toBe(minutesOn(built.unlocked, 2, 'bays'));
    expect(spareOn(built.unlocked, 0, 1, 2)).toEqual([2, 2, 2]);
    expect(spareOn(built.problem, 0, 1, 2)).toEqual([2, 1, 2]);
    expect(built.problem.vehicles[0]!.blackoutDays).toEqual([1]);
  });

  test('goes on for several days where it is longer than one, and the vehicle is away throughout', () => {
    const long = [owed('one', 'overhaul', { labourMinutes: 1_000, competences: ['hydraulics'] })];
    // Friday, Monday and Tuesday: 465, 465 and 70 minutes
    const wish = { ...locked, on: dateOf(4), dueItemKeys: ['overhaul'] };
    const overnight = [workshop('near', { vehicleStay: 'overnight' })];
    const { held, problem, unlocked } = buildPlanProblem(
      planInputs({ workshops: overnight, items: long, wishes: { locked: [wish], forbidden: [] } }),
    );
    expect(held).toMatchObject([{ day: 4, lastDay: 8 }]);
    const taken = Array.from(
      { length: DAYS },
      (_, day) => minutesOn(unlocked, day, 'people') - minutesOn(problem, day, 'people'),
    );
    expect(taken).toEqual([0, 0, 0, 0, 465, 0, 0, 465, 70, 0, 0, 0, 0, 0]);
    expect(spareOn(problem, 3, 4, 5, 6, 7, 8, 9)).toEqual([1, 0, 0, 0, 0, 0, 1]);
    expect(problem.vehicles[0]!.blackoutDays).toEqual([4, 5, 6, 7, 8]);
  });
});

describe('as if', () => {
  const items = [
    owed('one', 'fluid-change'),
    owed('one', 'brake-check', { competences: ['brakes'] }),
    owed('one', 'accumulator-test', { competences: ['brakes', 'hydraulics'] }),
  ];
  const bays = [bay('lift'), bay('flat', { kinds: ['flat'] })];
  const technicians = [person('hand', ['hydraulics'])];
  const assuming = (assumption: ReturnType<typeof planInputs>['assumptions'][number]) =>
    buildPlanProblem(
      planInputs({ workshops: [workshop('near', { bays, technicians })], items, assumptions: [assumption] }),
    ).problem;
  const asItIs = assuming({ kind: 'later-limit', task: 'fluid-change', days: 0 });

  test('there were technicians more, with what they can do by themselves and together', () => {
    const workshopId = 'near';
    const more = (competences: string[]) =>
      assuming({ kind: 'more-technicians', workshopId, count: 2, competences });
    const gained = (problem: PlanProblem) =>
      Object.fromEntries(
        problem.resources.map((resource) => [
          resource,
          minutesOn(problem, 0, resource) - minutesOn(asItIs, 0, resource),
        ]),
      );
    expect(gained(more(['brakes', 'hydraulics']))).toEqual({
      bays: 0,
      people: 960,
      'bay kind lift': 0,
      'competence brakes': 960,
      'competence brakes+hydraulics': 960,
      'competence hydraulics': 960,
      'throughout competence brakes': 960,
      'throughout competence brakes+hydraulics': 960,
      'throughout competence hydraulics': 960,
    });
    expect(gained(more(['brakes']))).toMatchObject({
      'competence brakes': 960,
      'competence brakes+hydraulics': 0,
      'competence hydraulics': 0,
    });
    // on a day when the workshop is shut they are not there either
    expect(minutesOn(more(['brakes']), 5, 'people')).toBe(0);
  });

  test('a bay were closed', () => {
    const closed = assuming({
      kind: 'bay-closed',
      workshopId: 'near',
      bayId: 'lift',
      fromOn: dateOf(1),
      untilOn: dateOf(3),
    });
    const on = (resource: string) => [0, 1, 2, 3].map((day) => minutesOn(closed, day, resource));
    expect(on('bays')).toEqual([930, 465, 465, 930]);
    expect(on('bay kind lift')).toEqual([465, 0, 0, 465]);
    expect(on('people')).toEqual([480, 480, 480, 480]);
  });

  test('the roster needed more, or fewer, but never fewer than none', () => {
    const need = (change: number) =>
      buildPlanProblem(
        planInputs({
          vehicles: ['one', 'two', 'three'],
          neededOnRoad: needed(1),
          assumptions: [{ kind: 'roster-need', depotId: 'depot', change }],
        }),
      ).problem;
    expect([need(1), need(0), need(-5), need(9)].map((problem) => spareOn(problem, 0)[0])).toEqual([
      1, 2, 3, 0,
    ]);
  });
});
