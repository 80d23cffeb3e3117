import { settledPlan } from '../../core/downtime-plan/complete-plan';
import type { PlanDraft, PlannedVisit, PlanProblem } from '../../core/downtime-plan/plan-problem';
import { addDays, startOfLocalDay } from '../../core/shared/calendar-date';
import { comesBefore } from '../../core/visit/goes-together';
import type { Slot } from '../../core/working-time/workshop';
import { buildPlanProblem, type BuiltProblem } from './build-plan-problem';
import { visitsOf, type CountedVisit } from './plan-figures';
import type { PlanInputs, StandingBooking } from './plan-inputs';
import { VisitDiary } from './visit-diary';

/** A plan whose visits have their places in the diaries. */
export interface ScheduledPlan {
  /** as it was asked, with wider windows where the plan needs them, and no room where the diary had none */
  readonly problem: PlanProblem;
  readonly draft: PlanDraft;
  /** by `visitKey`; a visit that is not in it finds no place */
  readonly places: ReadonlyMap<string, Slot>;
}

type Standing = CountedVisit & { readonly slot: Slot | null };

/** Days that were full are closed each time, so few times are enough. */
const ROUNDS = 12;

export const visitKey = ({ vehicle, day }: Pick<CountedVisit, 'vehicle' | 'day'>): string =>
  `${vehicle} ${day}`;

/**
 * Gives each visit of a draft a time, a bay and people. Minutes that are free can lie in gaps that are too short, in bays
 * of another kind, or with people who are not free together; so what finds no place is planned once more, in what the
 * diaries have left beside the visits that did, as if those were booked.
 *
 * @param plan makes a plan of a smaller problem, complete as the first
 */
export async function scheduleVisits(
  inputs: PlanInputs,
  built: BuiltProblem,
  first: PlanDraft,
  plan: (problem: PlanProblem) => Promise<PlanDraft>,
): Promise<ScheduledPlan> {
  const diary = new VisitDiary(inputs);
  const full = new Map<string, { workshop: number; day: number }>();
  let standing: Standing[] = [];
  let visits = visitsOf(built, first);
  for (let round = 1; visits.length > 0; round++) {
    const entered = inOrderOfEntry(visits);
    const slots = diary.enterAll(entered);
    standing.push(...entered.map((visit, at) => ({ ...visit, slot: slots[at] ?? null })));
    const without = standing.filter(({ slot, isLocked }) => slot === null && !isLocked);
    if (without.length === 0 || round === ROUNDS) break;
    for (const { workshop, day } of without) full.set(`${workshop} ${day}`, { workshop, day });
    const again = new Set([...without, ...followersOf(without, standing)]);
    for (const { workshop, slot } of again) if (slot !== null) diary.withdraw(workshop, slot);
    standing = standing.filter((visit) => !again.has(visit));
    const rest = restOf(inputs, built, diary, standing);
    visits = visitsOf(rest, await plan(closedOn(rest.problem, [...full.values()])));
  }
  const places = standing.flatMap((visit) =>
    visit.slot === null ? [] : [[visitKey(visit), visit.slot] as const],
  );
  return { ...settledOf(built, standing, [...full.values()]), places: new Map(places) };
}

/** What is locked takes its place first. */
function inOrderOfEntry(visits: readonly CountedVisit[]): CountedVisit[] {
  return [...visits.filter(({ isLocked }) => isLocked), ...visits.filter(({ isLocked }) => !isLocked)];
}

/** Visits that come after others of the same vehicle, or after one of those. Where a lock stands is the planner's decision. */
function followersOf(visits: readonly Standing[], among: readonly Standing[]): Standing[] {
  const followers = new Set<Standing>();
  const reached = [...visits];
  for (const first of reached)
    for (const then of among) {
      if (then.vehicle !== first.vehicle || then.isLocked || followers.has(then) || visits.includes(then))
        continue;
      if (!then.owed.some((each) => first.owed.some((other) => comesBefore(other, each)))) continue;
      followers.add(then);
      reached.push(then);
    }
  return [...followers];
}

/** The work that stands nowhere yet. */
function restOf(
  inputs: PlanInputs,
  built: BuiltProblem,
  diary: VisitDiary,
  standing: readonly Standing[],
): BuiltProblem {
  const workshops = inputs.workshops.map((each, at) => ({ ...each, prepared: diary.workshops[at]! }));
  const bookings = standing.map((visit) => asBooking(inputs, built, visit));
  return buildPlanProblem(
    {
      ...inputs,
      workshops,
      bookings: [...inputs.bookings, ...bookings],
      wishes: { ...inputs.wishes, locked: [] },
      // the diary knows of these already
      assumptions: inputs.assumptions.filter(
        ({ kind }) => kind !== 'more-technicians' && kind !== 'bay-closed',
      ),
    },
    built.parcels,
  );
}

function asBooking(
  { workshops, fromOn }: PlanInputs,
  { vehicles }: BuiltProblem,
  { vehicle, workshop, day, lastDay, owed, slot }: Standing,
): StandingBooking {
  const { id, opening } = workshops[workshop]!.prepared.workshop;
  const fromAt = startOfLocalDay(addDays(fromOn, day), opening.zone);
  return {
    id: visitKey({ vehicle, day }),
    vehicleId: vehicles[vehicle]!.id,
    workshopId: id,
    startsAt: slot?.startsAt ?? fromAt,
    fromAt,
    untilAt: startOfLocalDay(addDays(fromOn, lastDay + 1), opening.zone),
    items: owed.map(({ key, cycle }) => ({ dueItemKey: key, cycle })),
  };
}

function closedOn(
  problem: PlanProblem,
  full: readonly { readonly workshop: number; readonly day: number }[],
): PlanProblem {
  const workshops = problem.workshops.map((each) => ({ ...each, freeMinutes: each.freeMinutes.slice() }));
  const { length } = problem.resources;
  for (const { workshop, day } of full)
    workshops[workshop]!.freeMinutes.fill(0, day * length, (day + 1) * length);
  return { ...problem, workshops };
}

/** The plan in the terms of the problem that was asked. */
function settledOf(
  { problem, parcels }: BuiltProblem,
  standing: readonly Standing[],
  full: readonly { readonly workshop: number; readonly day: number }[],
): Pick<ScheduledPlan, 'problem' | 'draft'> {
  const visits = standing
    .filter(({ isLocked }) => !isLocked)
    .map(({ vehicle, workshop, day, owed }): PlannedVisit => {
      const items = [...parcels[vehicle]!.keys()].filter((item) =>
        parcels[vehicle]![item]!.owed.every((each) => owed.includes(each)),
      );
      return { vehicle, workshop, day, items };
    })
    .sort((a, b) => a.vehicle - b.vehicle || a.day - b.day);
  const planned = new Set(visits.flatMap(({ vehicle, items }) => items.map((item) => `${vehicle} ${item}`)));
  const leftOut = parcels.flatMap((each, vehicle) =>
    [...each.keys()].filter((item) => !planned.has(`${vehicle} ${item}`)).map((item) => ({ vehicle, item })),
  );
  return settledPlan(problem, visits, leftOut, full);
}
