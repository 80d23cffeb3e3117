import { completePlan } from '../../../src/core/downtime-plan/complete-plan';
import { DowntimePlanner } from '../../../src/core/downtime-plan/downtime-planner';
import { addDays, startOfLocalDay } from '../../../src/core/shared/calendar-date';
import { buildPlanProblem } from '../../../src/modules/downtime-plans/build-plan-problem';
import { conflictOfItem, conflictsOfLocks } from '../../../src/modules/downtime-plans/plan-conflicts';
import type { OwedItem, PlanInputs, StandingBooking } from '../../../src/modules/downtime-plans/plan-inputs';
import { madePlanInputs } from '../../support/made-plan-inputs';

const made = madePlanInputs(1);
const [vehicle] = made.vehicles;
const day = (n: number): string => addDays(made.fromOn, n);

function item(task: string, from: number, until: number, more: Partial<OwedItem> = {}): OwedItem {
  return {
    ...made.items[0]!,
    vehicleId: vehicle!.id,
    key: task,
    task,
    title: task,
    position: null,
    earlyOn: day(from),
    dueOn: day(until),
    lateOn: day(until),
    labourMinutes: 30,
    competences: [],
    bayKind: null,
    doBefore: [],
    satisfies: [],
    ...more,
  };
}
const TEST = item('precharge-test', 0, 12);
const RECHARGE = item('recharge', 0, 12, { doBefore: ['precharge-test'] });

function booked(task: string, on: number): StandingBooking {
  const startsAt = startOfLocalDay(day(on), 'Europe/London') + 9 * 3_600_000;
  return {
    id: `booking of ${task}`,
    vehicleId: vehicle!.id,
    workshopId: made.workshops[0]!.prepared.workshop.id,
    startsAt,
    fromAt: startsAt,
    untilAt: startsAt + 1_800_000,
    items: [{ dueItemKey: task, cycle: 'first' }],
  };
}

/** One vehicle that may always go, with some work. */
const inputsOf = (more: Partial<PlanInputs>): PlanInputs => ({
  ...made,
  vehicles: [vehicle!],
  items: [TEST, RECHARGE],
  bookings: [],
  blackouts: new Map(),
  neededOnRoad: new Map(),
  ...more,
});

const windowOf = (inputs: PlanInputs): number[][] =>
  buildPlanProblem(inputs).problem.vehicles[0]!.items.map((each) => [each.earliestDay, each.latestDay]);

test('work keeps to its side of what is booked or locked', () => {
  expect(windowOf(inputsOf({}))).toEqual([
    [0, 12],
    [0, 12],
  ]);
  expect(windowOf(inputsOf({ bookings: [booked('precharge-test', 9)] }))).toEqual([[9, 12]]);
  expect(windowOf(inputsOf({ bookings: [booked('recharge', 8)] }))).toEqual([[0, 8]]);
  const wish = { vehicleId: vehicle!.id, workshopId: made.workshops[0]!.prepared.workshop.id, on: day(7) };
  const locked = { locked: [{ ...wish, dueItemKeys: ['precharge-test'] }], forbidden: [] };
  expect(windowOf(inputsOf({ wishes: locked }))).toEqual([[7, 12]]);
  // nothing of a plan is before what is booked for before it begins
  expect(windowOf(inputsOf({ bookings: [booked('recharge', -2)] }))).toEqual([[0, 12]]);
});

test.each([
  ['precharge-test', 16, 'precharge-test has to be done first, and is booked for 2027-03-17.'],
  ['recharge', 0, 'It has to be done before recharge, which is booked for 2027-03-01.'],
])('what is left without a day by %s, booked on day %d, is put behind it and told', (task, on, fact) => {
  const inputs = inputsOf({ bookings: [booked(task, on)] });
  const built = buildPlanProblem(inputs);
  const planner = new DowntimePlanner(built.problem, {
    seed: 1,
    boundPasses: 2,
    cutPasses: 2,
    searchIterations: 5,
  });
  while (planner.advance());
  expect(planner.best().visits).toEqual([]);
  const [visit] = completePlan(built.problem, planner.best()).draft.visits;
  expect(visit!.day).toBeGreaterThan(on);
  expect(conflictOfItem(inputs, built, 0, 0)?.facts).toContain(fact);
});

test('what follows work that is booked for after the plan has no day in it', () => {
  const inputs = inputsOf({ bookings: [booked('precharge-test', made.dayCount + 2)] });
  const { problem } = buildPlanProblem(inputs);
  const planner = new DowntimePlanner(problem, {
    seed: 1,
    boundPasses: 2,
    cutPasses: 2,
    searchIterations: 5,
  });
  while (planner.advance());
  const { draft } = completePlan(problem, planner.best());
  expect([draft.visits, draft.leftOut]).toEqual([[], [{ vehicle: 0, item: 0 }]]);
});

test('a locked visit over several days needs all of them', () => {
  const workshop = { ...made.workshops[0]!.prepared.workshop, vehicleStay: 'overnight' as const };
  const open = { ...made.workshops[0]!.unbooked, workshop };
  const overhaul = item('overhaul', 0, 12, { labourMinutes: 700 });
  const wishes = {
    locked: [{ vehicleId: vehicle!.id, workshopId: workshop.id, on: day(1), dueItemKeys: ['overhaul'] }],
    forbidden: [],
  };
  const inputs = inputsOf({
    items: [overhaul],
    workshops: [{ name: 'Lower Tarn', prepared: open, unbooked: open }],
    wishes,
  });
  const told = (on: number): string[] => {
    const forbidden = [{ vehicleId: vehicle!.id, on: day(on) }];
    const edited = { ...inputs, wishes: { ...wishes, forbidden } };
    return conflictsOfLocks(edited, buildPlanProblem(edited)).flatMap(({ facts }) => facts);
  };
  expect([1, 2, 3, 4].map(told)).toEqual([
    [`You forbade ${day(1)} for it.`],
    [`You forbade ${day(2)} for it.`],
    [],
    [],
  ]);
});
