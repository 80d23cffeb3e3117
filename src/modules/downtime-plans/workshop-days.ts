import { toEpochDay, type CalendarDate } from '../../core/shared/calendar-date';
import { intersectionOf, type InstantSet } from '../../core/working-time/instant-set';
import type { PreparedWorkshop } from '../../core/working-time/prepare-diary';
import type { PlanWorkshop } from '../../core/downtime-plan/plan-problem';

const MS_PER_MINUTE = 60_000;
/** A gap in the diary of a bay that is shorter, the minutes before and after a job aside, takes no visit. */
const SHORTEST_GAP_MINUTES = 15;

/** What a plan counts of a workshop's day; the first is the length of visits. */
export const BAYS = 'bays';
export const PEOPLE = 'people';
export const bayKindResource = (kind: string): string => `bay kind ${kind}`;
export const competenceResource = (code: string): string => `competence ${code}`;

/**
 * Minutes that a workshop has free on each local day. Each gap in the diary of a bay gives its length less the minutes
 * before and after a job, as it will take one visit at least; a person's time counts as it is. Where several short gaps
 * add up to what a visit needs and none is long enough, the diary refuses it later.
 *
 * @param resources names as above, bays first
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
  const lessOverhead = (length: number): number =>
    length - overhead < SHORTEST_GAP_MINUTES ? 0 : length - overhead;
  for (const { bay, free } of bays) {
    const minutes = byDay(intersectionOf(open, free), starts, lessOverhead);
    add(BAYS, minutes);
    for (const kind of bay.kinds) add(bayKindResource(kind), minutes);
  }
  for (const { free, competentUntil } of people) {
    add(PEOPLE, byDay(free, starts));
    for (const [code, until] of competentUntil) {
      const competent = until === Infinity ? free : intersectionOf(free, [-Infinity, until]);
      add(competenceResource(code), byDay(competent, starts));
    }
  }
  const visitMinutes = {
    'not-at-all': () => longestByDay(open, starts),
    'over-breaks': () => byDay(open, starts),
    // long work takes whole days, and no more of them than a bay that is idle is counted to have
    overnight: () => byDay(open, starts, lessOverhead),
  }[workshop.vehicleStay]();
  return {
    freeMinutes,
    visitMinutes: Int32Array.from(visitMinutes, Math.floor),
    keepsOvernight: workshop.vehicleStay === 'overnight',
  };
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
