import { addDays } from '../../core/shared/calendar-date';
import type { PlanWorkshop } from '../../core/downtime-plan/plan-problem';
import { smallestConflict } from '../../core/downtime-plan/smallest-conflict';
import type { BuiltProblem, HeldVisit } from './build-plan-problem';
import { factsOf, placesOf, type Fact, type Wanted } from './plan-facts';
import type { PlanInputs } from './plan-inputs';
import type { PlanConflict } from './plan-outcome';
import { isWhole, partsOf, type VisitPart } from './visit-parts';

/** Locked visits that cannot be as they are locked, each with the fewest facts that rule it out. */
export function conflictsOfLocks(inputs: PlanInputs, built: BuiltProblem): PlanConflict[] {
  return built.held.flatMap((own) => {
    const { vehicle, workshop, day, minutes, owed } = own;
    const on = addDays(inputs.fromOn, day);
    const what = `Visit to ${inputs.workshops[workshop]!.name} on ${on} (${titlesOf(owed)})`;
    // windows and order do not bind it: they were the planner's to decide
    const wanted = { vehicle, what, ordered: [], minutes, earliestDay: day, latestDay: day, workshop };
    const others = built.held.filter((each) => each !== own);
    return conflictOf(inputs, built, wanted, others) ?? [];
  });
}

/**
 * The fewest facts that rule an item out on every day of its window, whatever the rest of the plan.
 *
 * @returns null where the rest of the plan is in the way, not any fact
 */
export function conflictOfItem(
  inputs: PlanInputs,
  built: BuiltProblem,
  vehicle: number,
  item: number,
): PlanConflict | null {
  const { item: each, window, owed } = built.parcels[vehicle]![item]!;
  const { earliestDay, latestDay } = window;
  const [from, until] = [addDays(inputs.fromOn, earliestDay), addDays(inputs.fromOn, latestDay)];
  const what = `${titlesOf(owed)} between ${from} and ${until}`;
  return conflictOf(
    inputs,
    built,
    { vehicle, what, ordered: owed, minutes: each.minutes, earliestDay, latestDay, workshop: null },
    built.held,
  );
}

function conflictOf(
  inputs: PlanInputs,
  built: BuiltProblem,
  wanted: Wanted,
  others: readonly HeldVisit[],
): PlanConflict | null {
  const row = built.vehicles[wanted.vehicle]!;
  const facts = smallestConflict(factsOf(inputs, built, wanted, others), (inForce) =>
    isPossible(built, wanted, inForce),
  );
  if (facts?.length === 0) return null;
  return {
    vehicleId: row.id,
    registrationMark: row.registrationMark,
    wanted: wanted.what,
    facts: facts?.map(({ sentence }) => sentence) ?? [NOWHERE],
  };
}

const NOWHERE = 'No workshop within reach is open on these days for as long as it takes.';

function isPossible(built: BuiltProblem, wanted: Wanted, inForce: readonly Fact[]): boolean {
  const { workshops } = built.unlocked;
  for (const place of placesOf(built, wanted))
    for (let day = wanted.earliestDay; day <= wanted.latestDay; day++) {
      const parts = visitParts(workshops[place]!, day, wanted);
      if (parts !== null && inForce.every((fact) => allows(built, wanted, place, parts, fact, inForce)))
        return true;
    }
  return false;
}

/** @returns null where the work cannot begin there on that day, or is not over in time, whatever the facts */
function visitParts(
  workshop: PlanWorkshop,
  day: number,
  { minutes, latestDay, workshop: locked }: Wanted,
): readonly VisitPart[] | null {
  const { visitMinutes, keepsOvernight } = workshop;
  if (visitMinutes[day] === 0) return null;
  const parts = partsOf(workshop, day, minutes);
  const [length = 0] = minutes;
  if (length <= visitMinutes[day]!) return parts;
  // of itself a plan keeps a vehicle overnight only for work that is longer than any day; by hand it may be kept
  const mayStay = keepsOvernight && (locked !== null || length > Math.max(...visitMinutes));
  const isOver = isWhole(parts, minutes) && (locked !== null || parts.at(-1)!.day <= latestDay);
  return mayStay && isOver ? parts : null;
}

function allows(
  { unlocked, bookedDays, spare }: BuiltProblem,
  { vehicle }: Wanted,
  place: number,
  parts: readonly VisitPart[],
  fact: Fact,
  inForce: readonly Fact[],
): boolean {
  const { resources, workshops, vehicles } = unlocked;
  const { depot } = vehicles[vehicle]!;
  const [firstDay, lastDay] = [parts[0]!.day, parts.at(-1)!.day];
  const isAway = (day: number): boolean => firstDay <= day && day <= lastDay;
  const held = inForce.flatMap((each) => (each.kind === 'held' ? [each.held] : []));
  switch (fact.kind) {
    case 'day':
      return ![...fact.days].some(isAway);
    case 'held':
      return fact.held.vehicle !== vehicle || fact.held.lastDay < firstDay || fact.held.day > lastDay;
    case 'roster': {
      const neighbours = held.filter((each) => vehicles[each.vehicle]!.depot === depot);
      return spare[depot]!.every((count, day) => {
        const away = neighbours.filter((each) => each.day <= day && day <= each.lastDay).length;
        // a booking of its own is a fact by itself
        const own = Number(bookedDays[vehicle]!.has(day));
        return !isAway(day) || count + own - away >= 1;
      });
    }
    case 'resource': {
      const { freeMinutes } = workshops[place]!;
      const takenOn = (day: number): number =>
        held
          .filter((each) => each.workshop === place)
          .flatMap((each) => each.parts.filter((part) => part.day === day))
          .reduce((sum, part) => sum + part.minutes[fact.resource]!, 0);
      return parts.every(
        ({ day, minutes }) =>
          minutes[fact.resource]! <= freeMinutes[day * resources.length + fact.resource]! - takenOn(day),
      );
    }
  }
}

/** Titles of work, those that occur several times once with their number. */
function titlesOf(owed: readonly { title: string }[]): string {
  const counts = new Map<string, number>();
  for (const { title } of owed) counts.set(title, (counts.get(title) ?? 0) + 1);
  return [...counts].map(([title, count]) => (count === 1 ? title : `${title} (${count})`)).join(', ');
}
