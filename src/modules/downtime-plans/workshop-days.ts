import { toEpochDay, type CalendarDate } from '../../core/shared/calendar-date';
import { intersectionOf, type InstantSet } from '../../core/working-time/instant-set';
import type { PreparedPerson, PreparedWorkshop } from '../../core/working-time/prepare-diary';
import type { PlanWorkshop } from '../../core/downtime-plan/plan-problem';
import { BAYS, bayKindsOf, competencesOf, PEOPLE } from './plan-resources';

const MS_PER_MINUTE = 60_000;
/** A gap in the diary of a bay that is shorter, the minutes before and after a job aside, takes no visit. */
const SHORTEST_GAP_MINUTES = 15;

/** A person, as far as time is counted. */
type CountedPerson = Pick<PreparedPerson, 'free' | 'competentUntil'>;
type CountedWorkshop = Omit<PreparedWorkshop, 'people'> & { readonly people: readonly CountedPerson[] };

/**
 * Minutes that a workshop has free on each local day. Each gap in the diary of a bay gives its length less the minutes
 * before and after a job, as it will take one visit at least; a break does not end it where a vehicle may stay over breaks.
 * A person's time counts as it is. Where several short gaps add up to what a visit needs and none is long enough, the
 * diary refuses it later.
 *
 * @param resources names as in `plan-resources`, bays first
 */
export function workshopDays(
  { workshop, clock, open, bays, people }: CountedWorkshop,
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
  const aside = workshop.minutesBefore + workshop.minutesAfter;
  const staysOverBreaks = workshop.vehicleStay !== 'not-at-all';
  for (const { bay, free } of bays) {
    const minutes = new Float64Array(dayCount);
    for (const gap of gapsOf(open, free, starts, staysOverBreaks))
      if (gap.minutes - aside >= SHORTEST_GAP_MINUTES) minutes[gap.day]! += gap.minutes - aside;
    add(BAYS, minutes);
    for (const resource of resources)
      if (bayKindsOf(resource)?.every((kind) => bay.kinds.includes(kind)) === true) add(resource, minutes);
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
  // no visit gets more of a day than a bay that nobody else uses gives
  const visitMinutes = new Int32Array(dayCount);
  for (const { day, minutes } of gapsOf(open, [-Infinity, Infinity], starts, staysOverBreaks))
    visitMinutes[day] = Math.max(visitMinutes[day]!, Math.floor(minutes - aside));
  return { freeMinutes, visitMinutes, keepsOvernight: workshop.vehicleStay === 'overnight' };
}

interface Gap {
  readonly day: number;
  /** in which the workshop is open */
  readonly minutes: number;
}

/** Stretches of a day for which a bay is free while the workshop is open. */
function gapsOf(open: InstantSet, free: InstantSet, starts: readonly number[], acrossBreaks: boolean): Gap[] {
  const gaps: Gap[] = [];
  let at = 0;
  let inGap = { day: -1, at: -1 };
  eachPart(intersectionOf(open, free), starts, (day, minutes, from) => {
    while (free[at + 1]! <= from) at += 2;
    if (acrossBreaks && inGap.day === day && inGap.at === at) {
      const last = gaps.at(-1)!;
      gaps[gaps.length - 1] = { day, minutes: last.minutes + minutes };
    } else gaps.push({ day, minutes });
    inGap = { day, at };
  });
  return gaps;
}

/** The instant from which a person no longer has all of these competences; minus infinity where one was never there. */
export function competentUntil({ competentUntil: until }: CountedPerson, codes: readonly string[]): number {
  return Math.min(...codes.map((code) => until.get(code) ?? -Infinity));
}

/** Minutes of a set on each day. @param starts of the days, and the end of the last */
export function byDay(set: InstantSet, starts: readonly number[]): Float64Array {
  const minutes = new Float64Array(starts.length - 1);
  eachPart(set, starts, (day, length) => (minutes[day]! += length));
  return minutes;
}

function eachPart(
  set: InstantSet,
  starts: readonly number[],
  part: (day: number, minutes: number, from: number) => void,
): void {
  let day = 0;
  for (let at = 0; at < set.length; at += 2) {
    const until = set[at + 1]!;
    let from = Math.max(set[at]!, starts[0]!);
    while (from < until) {
      while (day < starts.length - 1 && starts[day + 1]! <= from) day++;
      if (day === starts.length - 1) return;
      const end = Math.min(until, starts[day + 1]!);
      part(day, (end - from) / MS_PER_MINUTE, from);
      from = end;
    }
  }
}
