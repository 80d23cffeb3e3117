import { localDateAt } from '../../core/shared/calendar-date';
import type { PlanProblem, PlanVehicle } from '../../core/downtime-plan/plan-problem';
import { assumedWorkshop } from './assumed-workshop';
import { carriedOutOf } from './carried-out';
import type { FixedWork } from './fixed-work';
import type { OwedItem, PlanInputs, PlanVehicleRow, StandingBooking } from './plan-inputs';
import { dayOf, minutesOf, workOf, type Parcel } from './plan-items';
import { resourcesOf } from './plan-resources';
import { lastDayOf, partsOf, type VisitPart } from './visit-parts';
import { workBooked } from './work-booked';
import { workshopDays } from './workshop-days';
import type { LockedVisit } from './plan-wishes';

/** Work of a vehicle that a locked visit does. */
export interface HeldVisit {
  readonly wish: LockedVisit;
  readonly vehicle: number;
  readonly workshop: number;
  readonly day: number;
  readonly lastDay: number;
  readonly owed: readonly OwedItem[];
  readonly minutes: readonly number[];
  /** what it takes of each of its days */
  readonly parts: readonly VisitPart[];
}

/** A problem with what its numbers stand for. */
export interface BuiltProblem {
  readonly problem: PlanProblem;
  readonly vehicles: readonly PlanVehicleRow[];
  /** `[vehicle][item]` */
  readonly parcels: readonly (readonly Parcel[])[];
  /** `[vehicle]`: what it owes beyond what a plan can take. */
  readonly beyond: readonly (readonly OwedItem[])[];
  readonly held: readonly HeldVisit[];
  /** What is left before locked visits are taken off; for looking whether they can be. */
  readonly unlocked: PlanProblem;
  /** Items that a booking takes on already. */
  readonly booked: readonly { item: OwedItem; on: string; bookingId: string }[];
  /** `[vehicle]`: what has its day, whatever is planned. */
  readonly fixed: readonly (readonly FixedWork[])[];
  /** `[vehicle]`: days on which it is away for a booking. */
  readonly bookedDays: readonly ReadonlySet<number>[];
  /** `[depot][day]`: vehicles that are. */
  readonly awayBooked: readonly (readonly number[])[];
  /** `[depot][day]`: vehicles beyond those that the roster needs and bookings take; below 0 where they are too few. */
  readonly spare: readonly (readonly number[])[];
}

/**
 * Turns what is recorded into the numbers of a downtime plan.
 *
 * @param together `[vehicle]`: parcels of an earlier plan of the same records, which are not taken apart
 */
export function buildPlanProblem(
  inputs: PlanInputs,
  together?: readonly (readonly Pick<Parcel, 'owed'>[])[],
): BuiltProblem {
  const { fromOn, dayCount, depots, workshops, wishes } = inputs;
  const vehicles = inputs.vehicles;
  const { resources, joint } = resourcesOf(inputs.items);
  const workshopIndex = new Map(workshops.map(({ prepared }, at) => [prepared.workshop.id, at]));
  const vehicleIndex = new Map(vehicles.map(({ id }, at) => [id, at]));
  const days = workshops.map(({ prepared }) =>
    workshopDays(assumedWorkshop(inputs, prepared), resources, fromOn, dayCount),
  );

  const owed = vehicles.map((): OwedItem[] => []);
  for (const item of inputs.items) owed[vehicleIndex.get(item.vehicleId) ?? -1]?.push(item);
  const bookings = vehicles.map((): StandingBooking[] => []);
  const away = vehicles.map(() => new Set<number>());
  for (const booking of inputs.bookings) {
    const vehicle = vehicleIndex.get(booking.vehicleId);
    if (vehicle === undefined) continue;
    bookings[vehicle]!.push(booking);
    const zone = zoneOf(inputs, booking.workshopId);
    const first = Math.max(0, dayOf(localDateAt(booking.fromAt, zone), fromOn));
    const last = Math.min(dayCount - 1, dayOf(localDateAt(booking.untilAt - 1, zone), fromOn));
    for (let day = first; day <= last; day++) away[vehicle]!.add(day);
  }
  const booked: BuiltProblem['booked'][number][] = [];
  for (const [vehicle, items] of owed.entries()) {
    const taken = workBooked(items, bookings[vehicle]!);
    owed[vehicle] = items.filter((item) => !taken.some((each) => each.item === item));
    for (const { item, booking } of taken) {
      const on = localDateAt(booking.startsAt, zoneOf(inputs, booking.workshopId));
      booked.push({ item, on, bookingId: booking.id });
    }
  }

  const held: HeldVisit[] = [];
  for (const wish of wishes.locked) {
    const vehicle = vehicleIndex.get(wish.vehicleId);
    const workshop = workshopIndex.get(wish.workshopId);
    const day = dayOf(wish.on, fromOn);
    if (vehicle === undefined || workshop === undefined || day < 0 || day >= dayCount) continue;
    const own = owed[vehicle]!.filter(({ key }) => wish.dueItemKeys.includes(key));
    if (own.length === 0) continue;
    owed[vehicle] = owed[vehicle]!.filter((item) => !own.includes(item));
    const minutes = minutesOf(carriedOutOf(own), { resources, joint });
    const lastDay = lastDayOf(days[workshop]!, day, minutes[0]!);
    const parts = partsOf(days[workshop]!, day, minutes);
    held.push({ wish, vehicle, workshop, day, lastDay, owed: own, minutes, parts });
  }

  const depotIndex = new Map(depots.map(({ id }, at) => [id, at]));
  const awayBooked = depots.map(() => new Array<number>(dayCount).fill(0));
  vehicles.forEach(({ depotId }, vehicle) => {
    for (const day of away[vehicle]!) awayBooked[depotIndex.get(depotId)!]![day]!++;
  });
  const spare = depots.map(({ id }, depot) => {
    const count = vehicles.filter(({ depotId }) => depotId === id).length;
    return awayBooked[depot]!.map((booked, day) => count - neededOn(inputs, id, day) - booked);
  });
  const fixed = vehicles.map((): FixedWork[] => []);
  for (const { item, on } of booked) {
    const day = dayOf(on, fromOn);
    fixed[vehicleIndex.get(item.vehicleId)!]!.push({ item, how: 'booked', day, lastDay: day });
  }
  for (const { vehicle, day, lastDay, owed: own } of held)
    for (const item of own) fixed[vehicle]!.push({ item, how: 'locked', day, lastDay });
  const work = owed.map((items, vehicle) =>
    workOf(items, { ...inputs, resources, joint, fixed: fixed[vehicle]!, together: together?.[vehicle] }),
  );
  const parcels = work.map((each) => each.parcels);
  const stays = roadDays(inputs);
  const planVehicles = vehicles.map((row, vehicle): PlanVehicle => {
    const taken = held.filter((visit) => visit.vehicle === vehicle);
    const isTaken = (day: number): boolean => taken.some((visit) => visit.day <= day && day <= visit.lastDay);
    return {
      depot: depotIndex.get(row.depotId)!,
      reach: reachOf(inputs, row.depotId, workshopIndex),
      blackoutDays: Array.from({ length: dayCount }, (_, day) => day).filter(
        (day) => isTaken(day) || away[vehicle]!.has(day) || stays.get(row.id)?.has(day) === true,
      ),
      items: parcels[vehicle]!.map(({ item }) => item),
    };
  });
  const unlocked: PlanProblem = {
    dayCount,
    resources,
    joint,
    workshops: days,
    depots: spare.map((days) => ({ spareVehicles: Int32Array.from(days, (each) => Math.max(0, each)) })),
    vehicles: planVehicles,
  };
  return {
    problem: withoutHeld(unlocked, held),
    unlocked,
    vehicles,
    parcels,
    beyond: work.map((each) => each.beyond),
    held,
    booked,
    fixed,
    bookedDays: away,
    awayBooked,
    spare,
  };
}

/** By vehicle, the days on which it has to stay on the road, by a blackout period or a wish. */
function roadDays({ blackouts, wishes, fromOn, dayCount }: PlanInputs): Map<string, Set<number>> {
  const days = new Map<string, Set<number>>();
  const add = (vehicleId: string, first: number, end: number): void => {
    const own = days.get(vehicleId) ?? new Set();
    days.set(vehicleId, own);
    for (let day = Math.max(0, first); day < Math.min(dayCount, end); day++) own.add(day);
  };
  for (const [vehicleId, periods] of blackouts)
    for (const period of periods) add(vehicleId, dayOf(period.fromOn, fromOn), dayOf(period.untilOn, fromOn));
  for (const { vehicleId, on } of wishes.forbidden) {
    const day = dayOf(on, fromOn);
    add(vehicleId, day, day + 1);
  }
  return days;
}

/** How many vehicles of a depot are needed on a day, as assumed. */
export function neededOn({ neededOnRoad, assumptions }: PlanInputs, depotId: string, day: number): number {
  const change = assumptions.reduce(
    (sum, each) => (each.kind === 'roster-need' && each.depotId === depotId ? sum + each.change : sum),
    0,
  );
  return Math.max(0, (neededOnRoad.get(depotId)?.[day] ?? 0) + change);
}

export function zoneOf({ workshops, depots }: PlanInputs, workshopId: string): string {
  const workshop = workshops.find(({ prepared }) => prepared.workshop.id === workshopId);
  return workshop?.prepared.workshop.opening.zone ?? depots[0]!.zone;
}

function reachOf({ ways, weights }: PlanInputs, depotId: string, workshopIndex: ReadonlyMap<string, number>) {
  return (ways.get(depotId) ?? []).flatMap(({ workshopId, costMinor }) => {
    const workshop = workshopIndex.get(workshopId);
    return workshop === undefined ? [] : [{ workshop, visitCost: weights.visitLossMinor + costMinor }];
  });
}

function withoutHeld(problem: PlanProblem, held: readonly HeldVisit[]): PlanProblem {
  const { resources } = problem;
  const workshops = problem.workshops.map((workshop) => ({
    ...workshop,
    freeMinutes: workshop.freeMinutes.slice(),
  }));
  const depots = problem.depots.map(({ spareVehicles }) => ({ spareVehicles: spareVehicles.slice() }));
  for (const { vehicle, workshop, day, lastDay, parts } of held) {
    const { freeMinutes } = workshops[workshop]!;
    for (const { day: on, minutes } of parts)
      minutes.forEach((taken, at) => {
        const row = on * resources.length + at;
        freeMinutes[row] = Math.max(0, freeMinutes[row]! - taken);
      });
    const { spareVehicles } = depots[problem.vehicles[vehicle]!.depot]!;
    for (let on = day; on <= lastDay; on++) spareVehicles[on] = Math.max(0, spareVehicles[on]! - 1);
  }
  return { ...problem, workshops, depots };
}
