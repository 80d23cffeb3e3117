import { v7 as uuidv7 } from 'uuid';
import { addDays } from '../../core/shared/calendar-date';
import { isAssumed } from './assumed-workshop';
import type { BuiltProblem } from './build-plan-problem';
import type { DowntimePlan } from './downtime-plan.entity';
import { figuresOf, leftOutOf, visitsOf, type CountedVisit } from './plan-figures';
import type { OwedItem, PlanInputs } from './plan-inputs';
import { dayOf, workMinutesOf } from './plan-items';
import type { PlanConflict, PlanFigures, PlanOutcome } from './plan-outcome';
import { PlanReasons } from './plan-reasons';
import type { PlannedItem } from './planned-item.entity';
import type { PlannedVisit } from './planned-visit.entity';
import type { MadePlan } from './make-plan';
import { visitKey } from './schedule-visits';
import { depotAvailability, workshopLoad } from './view-plan';

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
  const reasons = new PlanReasons(inputs, built, made, counted);
  const priced = (visits: readonly CountedVisit[]) =>
    visits.map((visit) => ({ ...visit, visitCost: visitCostOf(built, visit) }));
  const tenant = { organisationId: plan.organisationId, planId: plan.id, fleetId: plan.fleetId };
  const visits = priced(counted).map((visit): PlannedVisit => {
    const row = built.vehicles[visit.vehicle]!;
    const { earlyCostMinor, lateCostMinor } = figuresOf(inputs, [visit], []);
    const place = made.places.get(visitKey(visit));
    return {
      ...tenant,
      id: uuidv7(),
      depotId: row.depotId,
      vehicleId: row.id,
      workshopId: inputs.workshops[visit.workshop]!.prepared.workshop.id,
      visitOn: addDays(fromOn, visit.day),
      untilOn: addDays(fromOn, visit.lastDay),
      startsAt: place === undefined ? null : new Date(place.startsAt),
      endsAt: place === undefined ? null : new Date(place.endsAt),
      bayId: place?.bayId ?? null,
      technicianIds: place?.technicianIds.filter((id) => !isAssumed(id)) ?? [],
      workMinutes: visit.minutes,
      visitCostMinor: visit.visitCost,
      itemCostMinor: earlyCostMinor + lateCostMinor,
      locked: visit.isLocked,
      acceptance: 'open',
      bookingId: null,
      refusal: null,
    };
  });
  const planned = counted.flatMap((visit, at) =>
    visit.owed.map((item) => {
      const { reason, ...why } = reasons.ofPlanned(visit, item);
      const details = { ...detailsOf(item, inputs), plannedOn: addDays(fromOn, visit.lastDay), ...why };
      return {
        ...tenant,
        vehicleId: item.vehicleId,
        visitId: visits[at]!.id,
        itemKey: item.key,
        reason,
        details,
      };
    }),
  );
  const leftOut = built.vehicles.flatMap((_, vehicle) =>
    reasons.ofLeftOut(vehicle).map(({ item, reason, ...why }) => {
      const details = { ...detailsOf(item, inputs), plannedOn: null, ...why };
      return { ...tenant, vehicleId: item.vehicleId, visitId: null, itemKey: item.key, reason, details };
    }),
  );
  return {
    visits,
    items: [...planned, ...leftOut],
    outcome: {
      currency: weights.currency,
      plan: figuresOf(inputs, priced(counted), leftOutOf(built, made.draft)),
      naive: figuresOf(inputs, priced(visitsOf(built, made.naive)), leftOutOf(built, made.naive)),
      booked: bookedFigures(inputs, built),
      boundMinor: made.bound,
      gapPercent: made.gapPercent,
      stoppedEarly: made.stoppedEarly,
      conflicts: reasons.conflicts,
      depots: depotAvailability(inputs, built, counted),
      workshops: workshopLoad(inputs, built, counted),
    },
  };
}

/** What is locked cannot be as it is locked: there is no plan, only why not. */
export function impossibleResult(inputs: PlanInputs, conflicts: PlanConflict[]): PlanResult {
  const nothing = figuresOf(inputs, [], []);
  return {
    visits: [],
    items: [],
    outcome: {
      currency: inputs.weights.currency,
      plan: nothing,
      naive: nothing,
      booked: nothing,
      boundMinor: 0,
      gapPercent: 0,
      stoppedEarly: false,
      conflicts,
      depots: [],
      workshops: [],
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
    minutes: workMinutesOf(item),
    dueOn,
    earliestOn: earlyOn < inputs.fromOn ? inputs.fromOn : earlyOn,
    latestOn: lateOn,
  };
}

/** What stands in the diary already, as if nothing more were planned. */
function bookedFigures(
  inputs: PlanInputs,
  { booked, parcels, beyond, held, vehicles }: BuiltProblem,
): PlanFigures {
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
  const open = [...[...parcels.flat(), ...held].flatMap(({ owed }) => owed), ...beyond.flat()];
  return figuresOf(inputs, visits, open);
}
