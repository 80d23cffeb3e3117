import { v7 as uuidv7 } from 'uuid';
import { addDays, fromEpochDay, toEpochDay } from '../../core/shared/calendar-date';
import { intersectionOf } from '../../core/working-time/instant-set';
import type { BuiltProblem } from './build-plan-problem';
import { neededOn } from './build-plan-problem';
import type { DowntimePlan } from './downtime-plan.entity';
import { conflictsOfItems } from './plan-conflicts';
import { figuresOf, leftOutOf, visitsOf, type CountedVisit } from './plan-figures';
import type { OwedItem, PlanInputs } from './plan-inputs';
import { dayOf, minutesOf } from './plan-items';
import type { PlanFigures, PlanOutcome } from './plan-outcome';
import type { AvailabilityDay, DepotAvailability, WorkshopLoad } from './plan-views';
import { explanationInWords, relaxationInWords } from './plan-words';
import type { PlannedItem } from './planned-item.entity';
import type { PlannedVisit } from './planned-visit.entity';
import type { MadePlan } from './planning-thread';
import { byDay } from './workshop-days';

/** A plan as it is stored. */
export interface PlanResult {
  outcome: PlanOutcome;
  visits: PlannedVisit[];
  items: Omit<PlannedItem, 'id'>[];
}

/** Turns a plan in numbers into visits, explanations and figures. */
export function planResult(
  plan: Pick<DowntimePlan, 'organisationId' | 'id' | 'fleetId'>,
  inputs: PlanInputs,
  built: BuiltProblem,
  made: MadePlan,
): PlanResult {
  const { fromOn, weights } = inputs;
  const counted = visitsOf(built, made.draft);
  const priced = (visits: readonly CountedVisit[]) =>
    visits.map((visit) => ({ ...visit, visitCost: visitCostOf(built, visit) }));
  const leftOut = leftOutOf(built, made.draft);
  const tenant = { organisationId: plan.organisationId, planId: plan.id, fleetId: plan.fleetId };
  const visits = priced(counted).map((visit): PlannedVisit => {
    const row = built.vehicles[visit.vehicle]!;
    const { earlyCostMinor, lateCostMinor } = figuresOf(inputs, [visit], []);
    return {
      ...tenant,
      id: uuidv7(),
      depotId: row.depotId,
      vehicleId: row.id,
      workshopId: inputs.workshops[visit.workshop]!.prepared.workshop.id,
      visitOn: addDays(fromOn, visit.day),
      untilOn: addDays(fromOn, visit.lastDay),
      workMinutes: visit.minutes,
      visitCostMinor: visit.visitCost,
      itemCostMinor: earlyCostMinor + lateCostMinor,
      locked: visit.isLocked,
      acceptance: 'open',
      bookingId: null,
      refusal: null,
    };
  });
  const lateDraft = made.problem.vehicles.flatMap(({ items }, vehicle) =>
    items.flatMap((item, index) =>
      item.latestDay === built.problem.vehicles[vehicle]!.items[index]!.latestDay
        ? []
        : [{ vehicle, item: index }],
    ),
  );
  return {
    visits,
    items: [
      ...counted.flatMap((visit, at) =>
        visit.owed.map((item) => {
          const found = explanationOf(built, made, visit.vehicle, item);
          return {
            ...tenant,
            vehicleId: item.vehicleId,
            visitId: visits[at]!.id,
            itemKey: item.key,
            reason: visit.isLocked ? ('locked' as const) : (found?.because ?? 'on-due-day'),
            details: {
              ...detailsOf(item, inputs),
              plannedOn: addDays(fromOn, visit.lastDay),
              because: visit.isLocked
                ? 'Locked by hand.'
                : found === null
                  ? ''
                  : explanationInWords(
                      { ...found, dueDay: dayOf(item.dueOn, fromOn) },
                      fromOn,
                      weights.currency,
                    ),
              relaxations: (found?.relaxations ?? []).map(({ relaxed, saves, dayThen }) => ({
                what: relaxationInWords(relaxed),
                savesMinor: saves,
                thenOn: dayThen === null ? null : addDays(fromOn, dayThen),
              })),
            },
          };
        }),
      ),
      ...leftOut.map((item) => ({
        ...tenant,
        vehicleId: item.vehicleId,
        visitId: null,
        itemKey: item.key,
        reason: 'left-out' as const,
        details: {
          ...detailsOf(item, inputs),
          plannedOn: null,
          because: 'No day is left for it within the plan.',
          relaxations: [],
        },
      })),
    ],
    outcome: {
      currency: weights.currency,
      plan: figuresOf(inputs, priced(counted), leftOut),
      naive: figuresOf(inputs, priced(visitsOf(built, made.naive)), leftOutOf(built, made.naive)),
      booked: bookedFigures(inputs, built),
      boundMinor: made.bound,
      gapPercent: made.gapPercent,
      stoppedEarly: made.stoppedEarly,
      conflicts: conflictsOfItems(inputs, built, lateDraft),
      depots: availability(inputs, built, counted),
      workshops: load(inputs, built, counted),
    },
  };
}

function visitCostOf({ problem }: BuiltProblem, { vehicle, workshop }: CountedVisit): number {
  const { reach } = problem.vehicles[vehicle]!;
  return (reach.find((way) => way.workshop === workshop) ?? reach[0])?.visitCost ?? 0;
}

function detailsOf(item: OwedItem, inputs: PlanInputs) {
  const { cycle, task, title, position, safetyCritical, dueOn, earlyOn, lateOn } = item;
  return {
    cycle,
    task,
    title,
    position,
    safetyCritical,
    minutes: minutesOf(item, ['bays'])[0] ?? 0,
    dueOn,
    earliestOn: earlyOn < inputs.fromOn ? inputs.fromOn : earlyOn,
    latestOn: lateOn,
  };
}

function explanationOf({ parcels }: BuiltProblem, made: MadePlan, vehicle: number, item: OwedItem) {
  const index = parcels[vehicle]!.findIndex(({ owed }) => owed.includes(item));
  return made.explanations[vehicle]?.[index] ?? null;
}

/** What stands in the diary already, as if nothing more were planned. */
function bookedFigures(inputs: PlanInputs, { booked, parcels, held, vehicles }: BuiltProblem): PlanFigures {
  const { fromOn, ways, weights } = inputs;
  const visits = inputs.bookings.flatMap(({ id, vehicleId, workshopId }) => {
    const row = vehicles.find((vehicle) => vehicle.id === vehicleId);
    const owed = booked.filter(({ bookingId }) => bookingId === id);
    if (row === undefined || owed.length === 0) return [];
    const way = ways.get(row.depotId)?.find((each) => each.workshopId === workshopId);
    const day = dayOf(owed[0]!.on, fromOn);
    const visitCost = weights.visitLossMinor + (way?.costMinor ?? 0);
    return [{ visitCost, day, lastDay: day, owed: owed.map(({ item }) => item) }];
  });
  const open = [...parcels.flat().flatMap(({ owed }) => owed), ...held.flatMap(({ owed }) => owed)];
  return figuresOf(inputs, visits, open);
}

function availability(
  inputs: PlanInputs,
  { vehicles, awayBooked }: BuiltProblem,
  visits: readonly CountedVisit[],
): DepotAvailability[] {
  const { fromOn, dayCount, depots } = inputs;
  return depots.map(({ id, name }, depot) => {
    const count = vehicles.filter(({ depotId }) => depotId === id).length;
    const planned = new Array<number>(dayCount).fill(0);
    for (const { vehicle, day, lastDay } of visits)
      if (vehicles[vehicle]!.depotId === id) for (let at = day; at <= lastDay; at++) planned[at]! += 1;
    return {
      depotId: id,
      name,
      days: planned.map((more, day): AvailabilityDay => ({
        on: addDays(fromOn, day),
        vehicles: count,
        neededOnRoad: neededOn(inputs, id, day),
        offRoadBefore: awayBooked[depot]![day]!,
        offRoadAfter: awayBooked[depot]![day]! + more,
      })),
    };
  });
}

function load(
  { fromOn, dayCount, workshops }: PlanInputs,
  { unlocked }: BuiltProblem,
  visits: readonly CountedVisit[],
): WorkshopLoad[] {
  const first = toEpochDay(fromOn);
  return workshops.map(({ prepared, unbooked, name }, at) => {
    const starts = Array.from({ length: dayCount + 1 }, (_, day) => prepared.clock.instantOf(first + day, 0));
    const opened = bayMinutes(unbooked, starts);
    const free = bayMinutes(prepared, starts);
    const weeks = new Map<string, WorkshopLoad['weeks'][number]>();
    const { freeMinutes } = unlocked.workshops[at]!;
    for (let day = 0; day < dayCount; day++) {
      const weekOn = fromEpochDay(first + day - ((first + day + 3) % 7));
      const week = weeks.get(weekOn) ?? { weekOn, freeMinutes: 0, bookedMinutes: 0, plannedMinutes: 0 };
      weeks.set(weekOn, week);
      week.freeMinutes += freeMinutes[day * unlocked.resources.length]!;
      week.bookedMinutes += Math.round(opened[day]! - free[day]!);
    }
    for (const { workshop, day, minutes } of visits)
      if (workshop === at)
        weeks.get(fromEpochDay(first + day - ((first + day + 3) % 7)))!.plannedMinutes += minutes;
    return { workshopId: prepared.workshop.id, name, weeks: [...weeks.values()] };
  });
}

function bayMinutes(
  { bays, open }: PlanInputs['workshops'][number]['prepared'],
  starts: number[],
): Float64Array {
  const all = new Float64Array(starts.length - 1);
  for (const { free } of bays)
    byDay(intersectionOf(open, free), starts).forEach((each, day) => (all[day]! += each));
  return all;
}
