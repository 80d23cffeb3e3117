import { addDays, localDateAt } from '../../core/shared/calendar-date';
import type { PlanProblem, PlanVehicle, PlanWorkshop } from '../../core/downtime-plan/plan-problem';
import { carriedOutOf } from './carried-out';
import { daysOfWork, type DayOfWork } from './days-of-work';
import type { FixedWork } from './fixed-work';
import type { OwedItem, PlanInputs, PlanVehicleRow, StandingBooking } from './plan-inputs';
import { dayOf, minutesOf, parcelsOf, type Parcel } from './plan-items';
import { BAYS, bayKindResource, competenceResource, PEOPLE, workshopDays } from './workshop-days';
import { workBooked } from './work-booked';
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
  /** from the first to the last day, with what it takes of each */
  readonly days: readonly DayOfWork[];
}

/** A problem with what its numbers stand for. */
export interface BuiltProblem {
  readonly problem: PlanProblem;
  readonly vehicles: readonly PlanVehicleRow[];
  /** `[vehicle][item]` */
  readonly parcels: readonly (readonly Parcel[])[];
  readonly held: readonly HeldVisit[];
  /** What is left before locked visits are taken off; for looking whether they can be. */
  readonly unlocked: PlanProblem;
  /** Items that a booking takes on already. */
  readonly booked: readonly { item: OwedItem; on: string; bookingId: string }[];
  /** `[vehicle]`: what has its day, whatever is planned. */
  readonly fixed: readonly (readonly FixedWork[])[];
  /** `[depot][day]`: vehicles that are away for a booking. */
  readonly awayBooked: readonly (readonly number[])[];
}

/** Turns what is recorded into the numbers of a downtime plan. */
export function buildPlanProblem(inputs: PlanInputs): BuiltProblem {
  const { fromOn, dayCount, depots, workshops, wishes } = inputs;
  const vehicles = inputs.vehicles;
  const resources = resourcesOf(inputs.items);
  const workshopIndex = new Map(workshops.map(({ prepared }, at) => [prepared.workshop.id, at]));
  const vehicleIndex = new Map(vehicles.map(({ id }, at) => [id, at]));
  const days = workshops.map(({ prepared }) =>
    assumedDays(inputs, workshopDays(prepared, resources, fromOn, dayCount), prepared.workshop.id, resources),
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
    const minutes = resources.map(() => 0);
    for (const item of carriedOutOf(own))
      minutesOf(item, resources).forEach((each, at) => (minutes[at]! += each));
    const taken = daysOfWork(days[workshop]!, day, minutes);
    const lastDay = taken.at(-1)?.day ?? day;
    held.push({ wish, vehicle, workshop, day, lastDay, owed: own, minutes, days: taken });
  }

  const depotIndex = new Map(depots.map(({ id }, at) => [id, at]));
  const awayBooked = depots.map(() => new Array<number>(dayCount).fill(0));
  vehicles.forEach(({ depotId }, vehicle) => {
    for (const day of away[vehicle]!) awayBooked[depotIndex.get(depotId)!]![day]!++;
  });
  const spare = depots.map(({ id }, depot) => {
    const count = vehicles.filter(({ depotId }) => depotId === id).length;
    return {
      spareVehicles: Int32Array.from({ length: dayCount }, (_, day) =>
        Math.max(0, count - neededOn(inputs, id, day) - awayBooked[depot]![day]!),
      ),
    };
  });
  const fixed = vehicles.map((): FixedWork[] => []);
  for (const { item, on } of booked) {
    const day = dayOf(on, fromOn);
    fixed[vehicleIndex.get(item.vehicleId)!]!.push({ item, how: 'booked', day, lastDay: day });
  }
  for (const { vehicle, day, lastDay, owed: own } of held)
    for (const item of own) fixed[vehicle]!.push({ item, how: 'locked', day, lastDay });
  const parcels = owed.map((items, vehicle) =>
    parcelsOf(items, { ...inputs, resources, fixed: fixed[vehicle]! }),
  );
  const planVehicles = vehicles.map((row, vehicle): PlanVehicle => {
    const taken = held.filter((visit) => visit.vehicle === vehicle);
    const isTaken = (day: number): boolean => taken.some((visit) => visit.day <= day && day <= visit.lastDay);
    return {
      depot: depotIndex.get(row.depotId)!,
      reach: reachOf(inputs, row.depotId, workshopIndex),
      blackoutDays: Array.from({ length: dayCount }, (_, day) => day).filter(
        (day) => isTaken(day) || away[vehicle]!.has(day) || mayNotLeave(inputs, row.id, day),
      ),
      items: parcels[vehicle]!.map(({ item }) => item),
    };
  });
  const unlocked: PlanProblem = {
    dayCount,
    resources,
    workshops: days,
    depots: spare,
    vehicles: planVehicles,
  };
  return {
    problem: withoutHeld(unlocked, held),
    unlocked,
    vehicles,
    parcels,
    held,
    booked,
    fixed,
    awayBooked,
  };
}

/** Whether a vehicle has to stay on the road on a day, by a blackout period or a wish. */
export function mayNotLeave(
  { blackouts, wishes, fromOn }: PlanInputs,
  vehicleId: string,
  day: number,
): boolean {
  const on = addDays(fromOn, day);
  return (
    (blackouts.get(vehicleId) ?? []).some((period) => period.fromOn <= on && on < period.untilOn) ||
    wishes.forbidden.some((wish) => wish.vehicleId === vehicleId && wish.on === on)
  );
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

function resourcesOf(items: readonly OwedItem[]): string[] {
  const kinds = new Set(items.flatMap(({ bayKind }) => (bayKind === null ? [] : [bayKindResource(bayKind)])));
  const competences = new Set(items.flatMap((item) => item.competences.map(competenceResource)));
  return [BAYS, PEOPLE, ...[...kinds].sort(), ...[...competences].sort()];
}

function reachOf({ ways, weights }: PlanInputs, depotId: string, workshopIndex: ReadonlyMap<string, number>) {
  return (ways.get(depotId) ?? []).flatMap(({ workshopId, costMinor }) => {
    const workshop = workshopIndex.get(workshopId);
    return workshop === undefined ? [] : [{ workshop, visitCost: weights.visitLossMinor + costMinor }];
  });
}

function assumedDays(
  { assumptions, fromOn, dayCount, workshops }: PlanInputs,
  days: PlanWorkshop,
  workshopId: string,
  resources: readonly string[],
): PlanWorkshop {
  const freeMinutes = days.freeMinutes.slice();
  const add = (day: number, resource: string, minutes: number): void => {
    const at = resources.indexOf(resource);
    if (at < 0) return;
    const row = day * resources.length + at;
    freeMinutes[row] = Math.max(0, freeMinutes[row]! + minutes);
  };
  for (const each of assumptions) {
    if (each.kind === 'more-technicians' && each.workshopId === workshopId)
      for (let day = 0; day < dayCount; day++)
        for (const resource of [PEOPLE, ...each.competences.map(competenceResource)])
          add(day, resource, each.count * days.visitMinutes[day]!);
    if (each.kind === 'bay-closed' && each.workshopId === workshopId) {
      const { prepared } = workshops.find((one) => one.prepared.workshop.id === workshopId)!;
      const alone = {
        ...prepared,
        bays: prepared.bays.filter(({ bay }) => bay.id === each.bayId),
        people: [],
      };
      const own = workshopDays(alone, resources, fromOn, dayCount);
      for (let day = 0; day < dayCount; day++) {
        const on = addDays(fromOn, day);
        if (on < each.fromOn || on >= each.untilOn) continue;
        resources.forEach((resource, at) => {
          add(day, resource, -own.freeMinutes[day * resources.length + at]!);
        });
      }
    }
  }
  return { ...days, freeMinutes };
}

function withoutHeld(problem: PlanProblem, held: readonly HeldVisit[]): PlanProblem {
  const { resources } = problem;
  const workshops = problem.workshops.map((workshop) => ({
    ...workshop,
    freeMinutes: workshop.freeMinutes.slice(),
  }));
  const depots = problem.depots.map(({ spareVehicles }) => ({ spareVehicles: spareVehicles.slice() }));
  for (const { vehicle, workshop, days } of held) {
    const { freeMinutes } = workshops[workshop]!;
    const { spareVehicles } = depots[problem.vehicles[vehicle]!.depot]!;
    for (const { day, minutes } of days) {
      spareVehicles[day] = Math.max(0, spareVehicles[day]! - 1);
      minutes.forEach((each, at) => {
        const row = day * resources.length + at;
        freeMinutes[row] = Math.max(0, freeMinutes[row]! - each);
      });
    }
  }
  return { ...problem, workshops, depots };
}
