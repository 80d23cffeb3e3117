import { addDays, localDateAt } from '../../core/shared/calendar-date';
import { smallestConflict } from '../../core/downtime-plan/smallest-conflict';
import type { PlanProblem } from '../../core/downtime-plan/plan-problem';
import { zoneOf, type BuiltProblem, type HeldVisit } from './build-plan-problem';
import { daysOfWork, type DayOfWork } from './days-of-work';
import { fixedAfter, fixedBefore } from './fixed-work';
import type { OwedItem, PlanInputs } from './plan-inputs';
import type { PlanConflict } from './plan-outcome';
import { resourceInWords } from './plan-words';

/** Something that rules days out for a vehicle, by itself or together with others. */
type Fact =
  | { kind: 'day'; days: ReadonlySet<number>; sentence: string }
  | { kind: 'resource'; resource: number; sentence: string }
  | { kind: 'roster'; sentence: string }
  | { kind: 'held'; held: HeldVisit; sentence: string };

interface Wanted {
  vehicle: number;
  /** what keeps to what has to be done before and after it */
  ordered: readonly OwedItem[];
  what: string;
  minutes: readonly number[];
  /** when it may begin */
  earliestDay: number;
  latestDay: number;
  /** the last day on which the vehicle may be there */
  endsBy: number;
  /** null: any within reach */
  workshop: number | null;
}

/** Locked visits that cannot be as they are locked, each with the fewest facts that rule it out. */
export function conflictsOfLocks(inputs: PlanInputs, built: BuiltProblem): PlanConflict[] {
  return built.held.flatMap((own) => {
    const { vehicle, workshop, day, minutes, owed } = own;
    const others = built.held.filter((each) => each !== own);
    const titles = titlesOf(owed);
    const what = `Visit to ${inputs.workshops[workshop]!.name} on ${addDays(inputs.fromOn, day)} (${titles})`;
    // its windows and its order are the planner's own decision; what there is not cannot be decided
    const range = { earliestDay: day, latestDay: day, endsBy: inputs.dayCount - 1 };
    const wanted = { vehicle, ordered: [], what, minutes, ...range, workshop };
    return conflictOf(inputs, built, wanted, others);
  });
}

/** Items that cannot be done on any day of their window, whatever the rest of the plan. */
export function conflictsOfItems(
  inputs: PlanInputs,
  built: BuiltProblem,
  items: readonly { vehicle: number; item: number }[],
): PlanConflict[] {
  return items.flatMap(({ vehicle, item }) => {
    const { item: each, window, owed } = built.parcels[vehicle]![item]!;
    const { earliestDay, latestDay } = window;
    const { minutes } = each;
    const titles = titlesOf(owed);
    const what = `${titles} between ${addDays(inputs.fromOn, earliestDay)} and ${addDays(inputs.fromOn, latestDay)}`;
    return conflictOf(
      inputs,
      built,
      { vehicle, ordered: owed, what, minutes, earliestDay, latestDay, endsBy: latestDay, workshop: null },
      built.held,
    );
  });
}

function conflictOf(
  inputs: PlanInputs,
  built: BuiltProblem,
  wanted: Wanted,
  others: readonly HeldVisit[],
): PlanConflict[] {
  const row = built.vehicles[wanted.vehicle]!;
  const facts = smallestConflict(factsOf(inputs, built, wanted, others), (inForce) =>
    isPossible(built.unlocked, wanted, inForce),
  );
  if (facts !== null && facts.length === 0) return [];
  return [
    {
      vehicleId: row.id,
      registrationMark: row.registrationMark,
      wanted: wanted.what,
      facts: facts?.map(({ sentence }) => sentence) ?? ['No workshop within reach is open on these days.'],
    },
  ];
}

function factsOf(
  inputs: PlanInputs,
  { unlocked, vehicles, fixed }: BuiltProblem,
  { vehicle, ordered, minutes, earliestDay, endsBy }: Wanted,
  others: readonly HeldVisit[],
): Fact[] {
  const { fromOn, dayCount, blackouts, wishes, bookings, depots } = inputs;
  const { id, depotId } = vehicles[vehicle]!;
  const daysFrom = (from: string, until: string): Set<number> =>
    new Set(
      Array.from({ length: dayCount }, (_, day) => day).filter((day) => {
        const on = addDays(fromOn, day);
        return from <= on && on < until;
      }),
    );
  const facts: Fact[] = [];
  for (const period of blackouts.get(id) ?? [])
    facts.push({
      kind: 'day',
      days: daysFrom(period.fromOn, period.untilOn),
      sentence: `It has to stay on the road from ${period.fromOn} until ${period.untilOn}: ${period.reason}.`,
    });
  for (const { on } of wishes.forbidden.filter(({ vehicleId }) => vehicleId === id))
    facts.push({
      kind: 'day',
      days: daysFrom(on, addDays(on, 1)),
      sentence: `You forbade ${on} for it.`,
    });
  for (const { workshopId, fromAt, untilAt } of bookings.filter(({ vehicleId }) => vehicleId === id)) {
    const zone = zoneOf(inputs, workshopId);
    const [from, until] = [localDateAt(fromAt, zone), addDays(localDateAt(untilAt - 1, zone), 1)];
    facts.push({
      kind: 'day',
      days: daysFrom(from, until),
      sentence: `It is booked into a workshop on ${from} already.`,
    });
  }
  for (const { item, how, lastDay } of fixedBefore(ordered, fixed[vehicle]!))
    facts.push({
      kind: 'day',
      days: daysFrom(fromOn, addDays(fromOn, lastDay)),
      sentence: `${item.title} has to be done first, and is ${how} for ${addDays(fromOn, lastDay)}.`,
    });
  for (const { item, how, day } of fixedAfter(ordered, fixed[vehicle]!))
    facts.push({
      kind: 'day',
      days: daysFrom(addDays(fromOn, day + 1), addDays(fromOn, dayCount)),
      sentence: `It has to be done before ${item.title}, which is ${how} for ${addDays(fromOn, day)}.`,
    });
  const depot = depots.find((each) => each.id === depotId)?.name ?? '';
  facts.push({ kind: 'roster', sentence: `The roster of ${depot} spares no more vehicle on these days.` });
  unlocked.resources.forEach((resource, at) => {
    if (minutes[at]! > 0)
      facts.push({
        kind: 'resource',
        resource: at,
        sentence: `${resourceInWords(resource)} is too short on these days.`,
      });
  });
  for (const held of others)
    if (held.lastDay >= earliestDay && held.day <= endsBy)
      facts.push({
        kind: 'held',
        held,
        sentence: `The visit of ${vehicles[held.vehicle]!.registrationMark} on ${addDays(fromOn, held.day)} is locked.`,
      });
  return facts;
}

function isPossible(problem: PlanProblem, wanted: Wanted, inForce: readonly Fact[]): boolean {
  const { vehicle, minutes, earliestDay, latestDay, endsBy, workshop } = wanted;
  const { resources, workshops, depots, vehicles } = problem;
  const { depot, reach } = vehicles[vehicle]!;
  const held = inForce.flatMap((fact) => (fact.kind === 'held' ? [fact.held] : []));
  const takenBy = (each: HeldVisit, day: number) => each.days.find((taken) => taken.day === day);
  const isForbidden = (day: number): boolean =>
    inForce.some((fact) => fact.kind === 'day' && fact.days.has(day));
  const fits = (at: number, { day, minutes: needed }: DayOfWork): boolean => {
    if (isForbidden(day)) return false;
    const here = held.filter((each) => takenBy(each, day) !== undefined);
    if (here.some((each) => each.vehicle === vehicle)) return false;
    const away = here.filter((each) => vehicles[each.vehicle]!.depot === depot).length;
    return inForce.every((fact) => {
      if (fact.kind === 'roster') return depots[depot]!.spareVehicles[day]! - away >= 1;
      if (fact.kind !== 'resource') return true;
      const taken = here
        .filter((each) => each.workshop === at)
        .reduce((sum, each) => sum + takenBy(each, day)!.minutes[fact.resource]!, 0);
      const free = workshops[at]!.freeMinutes[day * resources.length + fact.resource]!;
      return needed[fact.resource]! <= free - taken;
    });
  };
  const places = workshop === null ? reach.map((each) => each.workshop) : [workshop];
  for (let day = earliestDay; day <= latestDay; day++)
    for (const at of places) {
      const { visitMinutes, keepsOvernight } = workshops[at]!;
      if (visitMinutes[day] === 0) continue;
      const days = daysOfWork(workshops[at]!, day, minutes);
      const isOver = days.reduce((sum, each) => sum + each.minutes[0]!, 0) >= minutes[0]!;
      if (!isOver || days.at(-1)!.day > endsBy || (days.length > 1 && !keepsOvernight)) continue;
      if (days.every((each) => fits(at, each))) return true;
    }
  return false;
}

/** Titles of work, those that occur several times once with their number. */
function titlesOf(owed: readonly { title: string }[]): string {
  const counts = new Map<string, number>();
  for (const { title } of owed) counts.set(title, (counts.get(title) ?? 0) + 1);
  return [...counts].map(([title, count]) => (count === 1 ? title : `${title} (${count})`)).join(', ');
}
