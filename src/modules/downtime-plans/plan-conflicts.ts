import { addDays, localDateAt } from '../../core/shared/calendar-date';
import { smallestConflict } from '../../core/downtime-plan/smallest-conflict';
import type { PlanProblem } from '../../core/downtime-plan/plan-problem';
import { zoneOf, type BuiltProblem, type HeldVisit } from './build-plan-problem';
import type { PlanInputs } from './plan-inputs';
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
  what: string;
  minutes: readonly number[];
  earliestDay: number;
  latestDay: number;
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
    const wanted = { vehicle, what, minutes, earliestDay: day, latestDay: day, workshop };
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
    const { item: each, owed } = built.parcels[vehicle]![item]!;
    const { earliestDay, latestDay, minutes } = each;
    const titles = titlesOf(owed);
    const what = `${titles} between ${addDays(inputs.fromOn, earliestDay)} and ${addDays(inputs.fromOn, latestDay)}`;
    return conflictOf(
      inputs,
      built,
      { vehicle, what, minutes, earliestDay, latestDay, workshop: null },
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
  { unlocked, vehicles }: BuiltProblem,
  { vehicle, minutes, earliestDay, latestDay }: Wanted,
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
    if (held.lastDay >= earliestDay && held.day <= latestDay)
      facts.push({
        kind: 'held',
        held,
        sentence: `The visit of ${vehicles[held.vehicle]!.registrationMark} on ${addDays(fromOn, held.day)} is locked.`,
      });
  return facts;
}

function isPossible(problem: PlanProblem, wanted: Wanted, inForce: readonly Fact[]): boolean {
  const { vehicle, minutes, earliestDay, latestDay, workshop } = wanted;
  const { resources, workshops, depots, vehicles } = problem;
  const { depot, reach } = vehicles[vehicle]!;
  const held = inForce.flatMap((fact) => (fact.kind === 'held' ? [fact.held] : []));
  const places = workshop === null ? reach.map((each) => each.workshop) : [workshop];
  for (let day = earliestDay; day <= latestDay; day++) {
    if (inForce.some((fact) => fact.kind === 'day' && fact.days.has(day))) continue;
    const here = held.filter((each) => each.day <= day && day <= each.lastDay);
    if (here.some((each) => each.vehicle === vehicle)) continue;
    const away = here.filter((each) => vehicles[each.vehicle]!.depot === depot).length;
    if (inForce.some(({ kind }) => kind === 'roster') && depots[depot]!.spareVehicles[day]! - away < 1)
      continue;
    const fits = places.some((at) => {
      const { visitMinutes, freeMinutes, keepsOvernight } = workshops[at]!;
      const longest = visitMinutes[day]!;
      if (longest === 0 || (minutes[0]! > longest && !keepsOvernight)) return false;
      const share = Math.min(1, longest / Math.max(1, minutes[0]!));
      return inForce.every((fact) => {
        if (fact.kind !== 'resource') return true;
        const taken = here
          .filter((each) => each.workshop === at)
          .reduce((sum, each) => sum + each.minutes[fact.resource]!, 0);
        return (
          Math.floor(minutes[fact.resource]! * share) <=
          freeMinutes[day * resources.length + fact.resource]! - taken
        );
      });
    });
    if (fits) return true;
  }
  return false;
}

/** Titles of work, those that occur several times once with their number. */
function titlesOf(owed: readonly { title: string }[]): string {
  const counts = new Map<string, number>();
  for (const { title } of owed) counts.set(title, (counts.get(title) ?? 0) + 1);
  return [...counts].map(([title, count]) => (count === 1 ? title : `${title} (${count})`)).join(', ');
}
