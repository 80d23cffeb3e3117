import { addDays, localDateAt, toEpochDay } from '../../core/shared/calendar-date';
import { zoneOf, type BuiltProblem, type HeldVisit } from './build-plan-problem';
import { fixedAfter, fixedBefore } from './fixed-work';
import type { OwedItem, PlanInputs } from './plan-inputs';
import { bayKindsOf, competencesOf } from './plan-resources';
import { listInWords, resourceInWords } from './plan-words';
import { competentUntil } from './workshop-days';

/** Something that rules days out for a vehicle, by itself or together with others. */
export type Fact =
  | { kind: 'day'; days: ReadonlySet<number>; sentence: string }
  | { kind: 'resource'; resource: number; sentence: string }
  | { kind: 'roster'; sentence: string }
  | { kind: 'held'; held: HeldVisit; sentence: string };

/** Work that somebody wants done within some days. */
export interface Wanted {
  vehicle: number;
  /** in words */
  what: string;
  /** what keeps to its side of booked and locked work */
  ordered: readonly OwedItem[];
  /** `[resource]` */
  minutes: readonly number[];
  earliestDay: number;
  latestDay: number;
  /** null: any within reach */
  workshop: number | null;
}

/** The workshops that come into question. */
export function placesOf({ unlocked }: BuiltProblem, { vehicle, workshop }: Wanted): number[] {
  return workshop === null ? unlocked.vehicles[vehicle]!.reach.map((way) => way.workshop) : [workshop];
}

/** Everything that may stand in the way. Of facts that say as much, the more telling one comes later. */
export function factsOf(
  inputs: PlanInputs,
  built: BuiltProblem,
  wanted: Wanted,
  others: readonly HeldVisit[],
): Fact[] {
  const { id, depotId } = built.vehicles[wanted.vehicle]!;
  const depot = inputs.depots.find((each) => each.id === depotId)?.name ?? '';
  return [
    ...dayFacts(inputs, id),
    ...orderFacts(inputs, built, wanted),
    { kind: 'roster', sentence: `The roster of ${depot} spares no more vehicle on these days.` },
    ...resourceFacts(inputs, built, wanted),
    ...others
      .filter((held) => held.lastDay >= wanted.earliestDay && held.day <= wanted.latestDay)
      .map((held): Fact => {
        const { registrationMark } = built.vehicles[held.vehicle]!;
        const on = addDays(inputs.fromOn, held.day);
        return { kind: 'held', held, sentence: `The visit of ${registrationMark} on ${on} is locked.` };
      }),
  ];
}

function dayFacts(inputs: PlanInputs, vehicleId: string): Fact[] {
  const { fromOn, dayCount, blackouts, wishes, bookings } = inputs;
  const fact = (from: string, until: string, sentence: string): Fact => {
    const days = Array.from({ length: dayCount }, (_, day) => day).filter((day) => {
      const on = addDays(fromOn, day);
      return from <= on && on < until;
    });
    return { kind: 'day', days: new Set(days), sentence };
  };
  return [
    ...(blackouts.get(vehicleId) ?? []).map((period) =>
      fact(
        period.fromOn,
        period.untilOn,
        `It has to stay on the road from ${period.fromOn} until ${period.untilOn}: ${period.reason}.`,
      ),
    ),
    ...wishes.forbidden
      .filter((wish) => wish.vehicleId === vehicleId)
      .map(({ on }) => fact(on, addDays(on, 1), `You forbade ${on} for it.`)),
    ...bookings
      .filter((booking) => booking.vehicleId === vehicleId)
      .map(({ workshopId, fromAt, untilAt }) => {
        const zone = zoneOf(inputs, workshopId);
        const from = localDateAt(fromAt, zone);
        const until = addDays(localDateAt(untilAt - 1, zone), 1);
        return fact(from, until, `It is booked into a workshop on ${from} already.`);
      }),
  ];
}

function orderFacts({ fromOn, dayCount }: PlanInputs, built: BuiltProblem, wanted: Wanted): Fact[] {
  const { ordered, vehicle } = wanted;
  const fixed = built.fixed[vehicle]!;
  const daysOf = (isOut: (day: number) => boolean): Set<number> =>
    new Set(Array.from({ length: dayCount }, (_, day) => day).filter(isOut));
  return [
    ...fixedBefore(ordered, fixed).map(({ item, how, lastDay }): Fact => {
      const sentence = `${item.title} has to be done first, and is ${how} for ${addDays(fromOn, lastDay)}.`;
      return { kind: 'day', days: daysOf((day) => day < lastDay), sentence };
    }),
    ...fixedAfter(ordered, fixed).map(({ item, how, day: fixedDay }): Fact => {
      const sentence = `It has to be done before ${item.title}, which is ${how} for ${addDays(fromOn, fixedDay)}.`;
      return { kind: 'day', days: daysOf((day) => day > fixedDay), sentence };
    }),
  ];
}

function resourceFacts(inputs: PlanInputs, built: BuiltProblem, wanted: Wanted): Fact[] {
  const facts = built.unlocked.resources.flatMap((name, resource) =>
    wanted.minutes[resource]! > 0
      ? [{ kind: 'resource', resource, sentence: scarcity(inputs, built, wanted, name) } as const]
      : [],
  );
  // who lacks one competence lacks every set with it: the one alone says more
  const codes = ({ resource }: (typeof facts)[number]): number =>
    competencesOf(built.unlocked.resources[resource]!)?.length ?? Infinity;
  return facts.sort((a, b) => (codes(a) === codes(b) ? 0 : codes(b) - codes(a)));
}

function scarcity(inputs: PlanInputs, built: BuiltProblem, wanted: Wanted, resource: string): string {
  const [place, ...further] = placesOf(built, wanted);
  if (place !== undefined) {
    const where =
      wanted.workshop === null ? 'any workshop within reach' : inputs.workshops[wanted.workshop]!.name;
    const nobody = nobodyHas(inputs, [place, ...further], wanted, resource, where);
    if (nobody !== null) return nobody;
  }
  return `${resourceInWords(resource)} is too short on these days.`;
}

/** @returns null where somebody, or a bay, is there and only short of time */
function nobodyHas(
  { workshops, assumptions, fromOn }: PlanInputs,
  places: readonly number[],
  { earliestDay }: Wanted,
  resource: string,
  where: string,
): string | null {
  const here = places.map((place) => workshops[place]!.prepared);
  const kinds = bayKindsOf(resource);
  if (kinds !== null) {
    const isThere = here.some(({ bays }) =>
      bays.some(({ bay }) => kinds.every((kind) => bay.kinds.includes(kind))),
    );
    const what = kinds.length === 1 ? 'of the kind' : 'at once of the kinds';
    return isThere ? null : `No bay at ${where} is ${what} ${listInWords(kinds)}.`;
  }
  const codes = competencesOf(resource);
  if (codes === null) return null;
  const isAssumed = assumptions.some(
    (each) =>
      each.kind === 'more-technicians' &&
      here.some(({ workshop }) => workshop.id === each.workshopId) &&
      codes.every((code) => each.competences.includes(code)),
  );
  if (isAssumed) return null;
  const day = toEpochDay(fromOn) + earliestDay;
  const ends = here.flatMap(({ people, clock }) =>
    people.map((person) => ({ until: competentUntil(person, codes), from: clock.instantOf(day, 0) })),
  );
  if (ends.some(({ until, from }) => until > from)) return null;
  const what =
    codes.length === 1 ? `the competence ${codes[0]}` : `the competences ${listInWords(codes)} together`;
  const anyMore = ends.some(({ until }) => until > -Infinity) ? ' any more on these days' : '';
  return `No technician at ${where} has ${what}${anyMore}.`;
}
