import type { PlanProblem } from '../../src/core/downtime-plan/plan-problem';
import { addDays, daysBetween } from '../../src/core/shared/calendar-date';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import { buildPlanProblem, type BuiltProblem } from '../../src/modules/downtime-plans/build-plan-problem';
import { makePlan } from '../../src/modules/downtime-plans/make-plan';
import { conflictsOfLocks } from '../../src/modules/downtime-plans/plan-conflicts';
import type { OwedItem, PlanInputs } from '../../src/modules/downtime-plans/plan-inputs';
import { planResult, type PlanResult } from '../../src/modules/downtime-plans/plan-result';
import type { LockedVisit, PlanWishes } from '../../src/modules/downtime-plans/plan-wishes';
import { toTheEnd } from './drive-planner';
import { madePlanInputs, pick } from './made-plan-inputs';
import { faultsOfPlaces } from './place-check';
import { checkPlan, spreadOfVisit } from './plan-check';
import { locksOf, nameOf, referenceOf } from './plan-reference';

const BUDGET = { boundPasses: 3, cutPasses: 3, searchIterations: 60 };
const PLAN = { organisationId: 'organisation', id: 'plan', fleetId: 'fleet' };

/** What came of one fleet that was planned, edited and planned again. */
export interface EditedPlan {
  seed: number;
  faults: string[];
  visits: number;
  locked: number;
  forbidden: number;
  /** locks that could not be as they were wanted */
  impossible: number;
  /** items that are put behind their last day */
  late: number;
  /** visits that find no place in the diary */
  lockedWithoutPlace: number;
  withoutPlace: number;
}

type Made = PlanResult & { late: ReadonlySet<string> };

/**
 * Plans a made-up fleet, locks some visits as they are or elsewhere, forbids some days, plans it again, and looks for
 * everything that is wrong. The referee takes windows, capacity and rosters from the fleet without any lock, and reads
 * the plan as it is stored: by dates and names.
 */
export async function checkEditedPlan(seed: number): Promise<EditedPlan> {
  const inputs = madePlanInputs(seed);
  const first = await planOf(inputs, buildPlanProblem(inputs));
  const faults = faultsOfPlan(inputs, first).map((fault) => `before the edits: ${fault}`);
  const random = new SeededRandom(100_000 + seed);
  let edited = { ...inputs, wishes: editsOf(random, inputs, first) };
  const wanted = edited.wishes.locked.length;
  for (;;) {
    const built = buildPlanProblem(edited);
    const conflicts = conflictsOfLocks(edited, built);
    const lockFaults = faultsOfLocks(edited);
    if (conflicts.length > 0 !== lockFaults.length > 0)
      faults.push(
        `told of the locks: ${JSON.stringify(conflicts)}; wrong with them: ${lockFaults.join('; ')}`,
      );
    if (conflicts.length === 0) {
      const second = await planOf(edited, built);
      faults.push(...faultsOfPlan(edited, second));
      return {
        seed,
        faults,
        visits: second.visits.length,
        locked: edited.wishes.locked.length,
        forbidden: edited.wishes.forbidden.length,
        impossible: wanted - edited.wishes.locked.length,
        late: second.late.size,
        lockedWithoutPlace: second.visits.filter(({ startsAt, locked }) => startsAt === null && locked)
          .length,
        withoutPlace: second.visits.filter(({ startsAt, locked }) => startsAt === null && !locked).length,
      };
    }
    const isPossible = ({ vehicleId }: LockedVisit): boolean =>
      !conflicts.some((conflict) => conflict.vehicleId === vehicleId);
    const { locked, forbidden } = edited.wishes;
    edited = { ...edited, wishes: { locked: locked.filter(isPossible), forbidden } };
  }
}

/** As the service and its thread make it. */
async function planOf(inputs: PlanInputs, built: BuiltProblem): Promise<Made> {
  const made = await makePlan(inputs, built, { seed: 1, ...BUDGET }, toTheEnd);
  const late = built.parcels.flatMap((parcels, vehicle) =>
    parcels.flatMap(({ owed, item }, at) =>
      made.problem.vehicles[vehicle]!.items[at]!.latestDay === item.latestDay ? [] : owed.map(nameOf),
    ),
  );
  return { ...planResult(PLAN, inputs, built, made), late: new Set(late) };
}

/** Locks visits as they are, on another day, elsewhere, with less or with more work; forbids days. */
function editsOf(random: SeededRandom, inputs: PlanInputs, { visits, items }: Made): PlanWishes {
  const { fromOn, dayCount, ways, vehicles } = inputs;
  const wishes: PlanWishes = { locked: [], forbidden: [] };
  for (const { id, vehicleId, workshopId, visitOn, untilOn } of visits) {
    const keys = items.filter(({ visitId }) => visitId === id).map(({ itemKey }) => itemKey);
    const { depotId } = vehicles.find((vehicle) => vehicle.id === vehicleId)!;
    const someDay = addDays(fromOn, random.integer(0, dayCount - 1));
    const near = addDays(visitOn, random.integer(-3, 3));
    const nearOn = near >= fromOn && near < addDays(fromOn, dayCount) ? near : visitOn;
    const dice = random.next();
    const lock = (change: Partial<LockedVisit>): void => {
      wishes.locked.push({ vehicleId, workshopId, on: visitOn, dueItemKeys: keys, ...change });
    };
    if (dice < 0.2) lock({});
    else if (dice < 0.35) lock({ on: nearOn });
    else if (dice < 0.4) lock({ on: someDay, workshopId: pick(random, ways.get(depotId)!).workshopId });
    else if (dice < 0.5) lock({ dueItemKeys: wholeTasks(keys, random) });
    else if (dice < 0.65) wishes.forbidden.push({ vehicleId, on: untilOn });
    else if (dice < 0.75) wishes.forbidden.push({ vehicleId, on: someDay });
    else if (dice < 0.78) {
      lock({});
      wishes.forbidden.push({ vehicleId, on: untilOn });
    }
  }
  return wishes;
}

/** Some of the keys; positions of one task stay together. */
function wholeTasks(keys: readonly string[], random: SeededRandom): string[] {
  const taskOf = (key: string): string => key.split(':')[0]!;
  const kept = pick(random, keys);
  return keys.filter((key) => taskOf(key) === taskOf(kept) || key < kept);
}

/** Everything that is wrong with a stored plan. */
function faultsOfPlan(inputs: PlanInputs, made: Made): string[] {
  const { fromOn, wishes } = inputs;
  const free = referenceOf(inputs, made.late);
  const faults: string[] = [];
  const indexOf = (name: string): [number, number] => free.indices.get(name) ?? [-1, -1];
  const draftVisits = made.visits.map((visit) => {
    const own = made.items.filter(({ visitId }) => visitId === visit.id);
    const names = own.map(({ vehicleId, itemKey }) => `${vehicleId} ${itemKey}`);
    const at = names.map(indexOf);
    const items = [...new Set(at.map(([, item]) => item))].sort((a, b) => a - b);
    const [vehicle] = at[0] ?? [-1];
    for (const item of items)
      for (const owed of free.parcels[vehicle]?.[item]?.owed ?? [])
        if (!names.includes(nameOf(owed))) faults.push(`${nameOf(owed)} is torn from what it is done with`);
    const workshop = inputs.workshops.findIndex(({ prepared }) => prepared.workshop.id === visit.workshopId);
    const planned = { vehicle, workshop, day: daysBetween(fromOn, visit.visitOn), items };
    const spread = vehicle < 0 ? 'is of unknown work' : spreadOfVisit(free.problem, planned);
    if (typeof spread === 'string') faults.push(`a visit ${spread}`);
    else {
      const minutes = spread.work.reduce((sum, each) => sum + each.minutes[0]!, 0);
      if (visit.workMinutes !== minutes || visit.untilOn !== addDays(fromOn, spread.lastDay))
        faults.push(
          `visit of ${visit.vehicleId} on ${visit.visitOn}: ${visit.workMinutes} minutes until ${visit.untilOn}, not ${minutes} until day ${spread.lastDay}`,
        );
    }
    for (const { vehicleId, on } of wishes.forbidden)
      if (vehicleId === visit.vehicleId && visit.visitOn <= on && on <= visit.untilOn)
        faults.push(`${vehicleId} is off the road on ${on}, which is forbidden`);
    return planned;
  });
  const leftOut = new Map(
    made.items
      .filter(({ visitId }) => visitId === null)
      .map(({ vehicleId, itemKey }) => {
        const [vehicle, item] = indexOf(`${vehicleId} ${itemKey}`);
        return [`${vehicle} ${item}`, { vehicle, item }];
      }),
  );
  const locked = locksOf(inputs, free);
  const draft = {
    visits: [...draftVisits].sort((a, b) => a.vehicle - b.vehicle || a.day - b.day),
    leftOut: [...leftOut.values()],
    cost: made.outcome.plan.costMinor,
  };
  const lockedRows = made.visits.filter((visit) => visit.locked).length;
  if (lockedRows !== locked.length) faults.push(`${lockedRows} visits are locked, not ${locked.length}`);
  return [
    ...faults,
    ...faultsOfPlaces(inputs, made.visits, ({ id, vehicleId }) =>
      inputs.items.filter((owed) =>
        made.items.some(
          (item) => item.visitId === id && owed.vehicleId === vehicleId && item.itemKey === owed.key,
        ),
      ),
    ),
    ...orderFaults(inputs, made, free.booked),
    ...checkPlan(free.problem, draft, { locked }),
  ];
}

/** What is planned on the wrong side of work that is booked. */
function orderFaults(
  { fromOn, items }: PlanInputs,
  { visits, items: planned, late }: Made,
  booked: BuiltProblem['booked'],
): string[] {
  const comesBefore = (first: OwedItem, then: OwedItem): boolean =>
    first.vehicleId === then.vehicleId &&
    then.doBefore.includes(first.task) &&
    (first.position === null || then.position === null || first.position === then.position);
  return visits
    .filter(({ locked }) => !locked)
    .flatMap(({ id, vehicleId, visitOn }) => {
      const keys = planned.filter(({ visitId }) => visitId === id).map(({ itemKey }) => itemKey);
      const owed = items.filter((item) => item.vehicleId === vehicleId && keys.includes(item.key));
      return owed.flatMap((item) =>
        booked.flatMap((other) => {
          const isTooEarly = comesBefore(other.item, item) && visitOn < other.on;
          const isTooLate =
            comesBefore(item, other.item) &&
            visitOn > other.on &&
            other.on >= fromOn &&
            !late.has(nameOf(item));
          return isTooEarly || isTooLate
            ? [`${nameOf(item)} is planned for ${visitOn}, ${other.item.key} is booked for ${other.on}`]
            : [];
        }),
      );
    });
}

/** What is wrong with the locked visits by themselves. */
function faultsOfLocks(inputs: PlanInputs): string[] {
  const free = referenceOf(inputs, new Set());
  const visits = [...locksOf(inputs, free)].sort((a, b) => a.vehicle - b.vehicle || a.day - b.day);
  const isLocked = (vehicle: number, item: number): boolean =>
    visits.some((visit) => visit.vehicle === vehicle && visit.items.includes(item));
  const leftOut = free.problem.vehicles.flatMap(({ items }, vehicle) =>
    [...items.keys()].filter((item) => !isLocked(vehicle, item)).map((item) => ({ vehicle, item })),
  );
  // what has to be done before and is not locked may still be planned; what the rest costs is not the question
  const alone: PlanProblem = {
    ...free.problem,
    vehicles: free.problem.vehicles.map((each, vehicle) => ({
      ...each,
      items: each.items.map((item) => ({
        ...item,
        doFirst: item.doFirst.filter((first) => isLocked(vehicle, first)),
      })),
    })),
  };
  return checkPlan(alone, { visits, leftOut, cost: NaN }).filter(
    (fault) => !fault.startsWith('the plan costs'),
  );
}
