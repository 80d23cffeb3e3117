import { toEpochDay, type CalendarDate } from '../../core/shared/calendar-date';
import { intersectionOf, type InstantSet } from '../../core/working-time/instant-set';
import type { PreparedPerson, PreparedWorkshop } from '../../core/working-time/prepare-diary';
import type { PlanWorkshop } from '../../core/downtime-plan/plan-problem';
import { BAYS, bayKindResource, competencesOf, PEOPLE } from './plan-resources';

const MS_PER_MINUTE = 60_000;
/** A gap in the diary of a bay that is shorter, the minutes before and after a job aside, takes no visit. */
const SHORTEST_GAP_MINUTES = 15;

/**
 * Minutes that a workshop has free on each local day. Each gap in the diary of a bay gives its length less the minutes
 * before and after a job, as it will take one visit at least; a person's time counts as it is. Where several short gaps
 * add up to what a visit needs and none is long enough, the diary refuses it later.
 *
 * @param resources names as in `plan-resources`, bays first
 */
export function workshopDays(
  { workshop, clock, open, bays, people }: PreparedWorkshop,
  resources: readonly string[],
  fromOn: CalendarDate,
  dayCount: number,
): PlanWorkshop {
  const firstDay = toEpochDay(fromOn);
  const starts = Array.from({ length: dayCount + 1 }, (_, day) => clock.instantOf(firstDay + day, 0));
  const freeMinutes = new Int32Array(dayCount * resources.length);
  const add = (resource: string, minutes: Float64Array): void => {
    const at = resources.indexOf(resource);
    if (at >= 0)
      for (let day = 0; day < dayCount; day++)
        freeMinutes[day * resources.length + at]! += Math.floor(minutes[day]!);
  };
  const overhead = workshop.minutesBefore + workshop.minutesAfter;
  for (const { bay, free } of bays) {
    const minutes = byDay(intersectionOf(open, free), starts, (length) =>
      length - overhead < SHORTEST_GAP_MINUTES ? 0 : length - overhead,
    );
    add(BAYS, minutes);
    for (const kind of bay.kinds) add(bayKindResource(kind), minutes);
  }
  for (const person of people) {
    add(PEOPLE, byDay(person.free, starts));
    for (const resource of resources) {
      const codes = competencesOf(resource);
      if (codes === null) continue;
      const until = competentUntil(person, codes);
      const competent = until === Infinity ? person.free : intersectionOf(person.free, [-Infinity, until]);
      add(resource, byDay(competent, starts));
    }
  }
  return {
    freeMinutes,
    visitMinutes: Int32Array.from(
      workshop.vehicleStay === 'not-at-all' ? longestByDay(open, starts) : byDay(open, starts),
      Math.floor,
    ),
    keepsOvernight: workshop.vehicleStay === 'overnight',
  };
}

/** The instant from which a person no longer has all of these competences; minus infinity where one was never there. */
export function competentUntil({ competentUntil: until }: PreparedPerson, codes: readonly string[]): number {
  return Math.min(...codes.map((code) => until.get(code) ?? -Infinity));
}

/** Minutes of a set on each day, each of its intervals counted as `count` says. @param starts ends with the last day */
export function byDay(
  set: InstantSet,
  starts: readonly number[],
  count: (minutes: number) => number = (minutes) => minutes,
): Float64Array {
  const minutes = new Float64Array(starts.length - 1);
  eachPart(set, starts, (day, length) => (minutes[day]! += count(length)));
  return minutes;
}

function longestByDay(set: InstantSet, starts: readonly number[]): Float64Array {
  const minutes = new Float64Array(starts.length - 1);
  eachPart(set, starts, (day, length) => (minutes[day] = Math.max(minutes[day]!, length)));
  return minutes;
}

function eachPart(
  set: InstantSet,
  starts: readonly number[],
  part: (day: number, minutes: number) => void,
): void {
  let day = 0;
  for (let at = 0; at < set.length; at += 2) {
    const until = set[at + 1]!;
    let from = Math.max(set[at]!, starts[0]!);
    while (from < until) {
      while (day < starts.length - 1 && starts[day + 1]! <= from) day++;
      if (day === starts.length - 1) return;
      const end = Math.min(until, starts[day + 1]!);
      part(day, (end - from) / MS_PER_MINUTE);
      from = end;
    }
  }
}
