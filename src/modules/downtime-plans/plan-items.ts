import { DEFAULT_LABOUR_MINUTES } from '../../core/visit/job-of';
import { comesBefore, settles } from '../../core/visit/goes-together';
import { dayCostsOf, MAX_ITEMS, summedDayCosts, type PlanItem } from '../../core/downtime-plan/plan-problem';
import { daysBetween, type CalendarDate } from '../../core/shared/calendar-date';
import { fixedAfter, fixedBefore, type FixedWork } from './fixed-work';
import type { OwedItem, PlanInputs, PlanWeights } from './plan-inputs';
import { resourcesTakenBy } from './plan-resources';

/** What an interval is taken to be where it is not known when it began. */
const USUAL_INTERVAL_DAYS = 365;

/** A piece of a plan: one due item, or several that are done together because a vehicle has too many. */
export interface Parcel {
  readonly owed: readonly OwedItem[];
  /** as the items have it by themselves; that of `item` also keeps to its side of what is booked or locked */
  readonly window: { readonly earliestDay: number; readonly latestDay: number };
  readonly item: PlanItem;
}

/** What the numbers of an item are worked out from. */
export type PlanFrame = Pick<PlanInputs, 'fromOn' | 'dayCount' | 'weights' | 'assumptions'>;
type Frame = PlanFrame & {
  readonly resources: readonly string[];
  readonly joint: readonly (readonly number[])[];
  /** of the same vehicle */
  readonly fixed?: readonly FixedWork[];
  /** parcels that are made already, some of which may not be wanted any more */
  readonly together?: readonly Pick<Parcel, 'owed'>[] | undefined;
};

/** The work of one vehicle. */
export interface VehicleWork {
  readonly parcels: readonly Parcel[];
  /** More than a plan can take, as no two pieces share a day: what may wait longest. */
  readonly beyond: readonly OwedItem[];
}

/**
 * The due items of one vehicle as a plan takes them. Windows are those of the items, cut to the plan; what is past its
 * late limit already may be done on any day, at its risk. What is booked or locked keeps what comes before it, or after
 * it, on its side; no day may be left then. Items that are due alike, are the same task and need the
 * same go together; while there are more than a plan can take, so do those that are due next to each other.
 */
export function workOf(owed: readonly OwedItem[], frame: Frame): VehicleWork {
  if (frame.together !== undefined) {
    const wanted = frame.together.filter((each) => each.owed.every((item) => owed.includes(item)));
    return { parcels: related(wanted.map((each) => parcel(each.owed, frame))), beyond: [] };
  }
  let parcels = owed.map((item) => parcel([item], frame));
  parcels = joined(parcels, frame, isSameWork);
  while (parcels.length > MAX_ITEMS) {
    const fewer = joinNearest(parcels, frame);
    if (fewer === null) break;
    parcels = fewer;
  }
  const kept = mostUrgent(parcels);
  return {
    parcels: related(kept),
    beyond: parcels.filter((each) => !kept.includes(each)).flatMap((each) => each.owed),
  };
}

/** As many as a plan can take, and none without what has to be done first. */
function mostUrgent(parcels: readonly Parcel[]): Parcel[] {
  if (parcels.length <= MAX_ITEMS) return [...parcels];
  const byUrgency = [...parcels].sort((a, b) => a.item.latestDay - b.item.latestDay);
  const beyond = new Set(byUrgency.slice(MAX_ITEMS));
  // a set also hands out what is added while it is gone through
  for (const first of beyond)
    for (const then of parcels) if (then !== first && hasToFollow(then, first)) beyond.add(then);
  return parcels.filter((each) => !beyond.has(each));
}

function related(parcels: readonly Parcel[]): Parcel[] {
  const others = (own: Parcel, isOne: (other: Parcel) => boolean): number[] =>
    [...parcels.keys()].filter((index) => parcels[index] !== own && isOne(parcels[index]!));
  return parcels.map((own) => ({
    owed: own.owed,
    window: own.window,
    item: {
      ...own.item,
      doFirst: others(own, (first) => hasToFollow(own, first)),
      settles: others(own, ({ owed }) => owed.every((each) => own.owed.some((done) => settles(done, each)))),
    },
  }));
}

function hasToFollow(then: Parcel, first: Parcel): boolean {
  return then.owed.some((each) => first.owed.some((other) => comesBefore(other, each)));
}

/** The minutes that work takes of each resource, all of it at one visit. */
export function minutesOf(
  work: readonly Pick<OwedItem, 'labourMinutes' | 'competences' | 'bayKind'>[],
  { resources, joint }: Pick<Frame, 'resources' | 'joint'>,
): number[] {
  const taken = work.map((item) => ({ minutes: workMinutesOf(item), of: resourcesTakenBy(item) }));
  const minutes = resources.map((resource) =>
    taken.reduce((sum, item) => (item.of.includes(resource) ? sum + item.minutes : sum), 0),
  );
  for (const [at, of] of joint.entries())
    if (of.every((resource) => minutes[resource]! > 0))
      minutes[resources.length - joint.length + at] = minutes[0]!;
  return minutes;
}

export function workMinutesOf({ labourMinutes }: Pick<OwedItem, 'labourMinutes'>): number {
  return labourMinutes ?? DEFAULT_LABOUR_MINUTES;
}

/** The day of a plan that a date is; below 0 before it begins. */
export function dayOf(on: CalendarDate, fromOn: CalendarDate): number {
  return daysBetween(fromOn, on);
}

/** What an item costs for each day before and after the day it is due. */
export function dayPrices(
  item: Pick<OwedItem, 'task' | 'baselineOn' | 'dueOn' | 'safetyCritical'>,
  weights: PlanWeights,
): { early: number; late: number } {
  const value =
    weights.valueByTask.find(({ task }) => task === item.task)?.valueMinor ?? weights.valuePerItemMinor;
  const interval = item.baselineOn === null ? 0 : daysBetween(item.baselineOn, item.dueOn);
  return {
    early: value / (interval > 0 ? interval : USUAL_INTERVAL_DAYS),
    late: item.safetyCritical
      ? weights.riskPerLateDayMinor.safetyCritical
      : weights.riskPerLateDayMinor.other,
  };
}

/** The last day on which an item may be done, as assumed; may lie outside of the plan. */
export function lateDayOf({ task, lateOn }: OwedItem, { fromOn, assumptions }: PlanFrame): number {
  const later = assumptions.reduce(
    (days, each) => (each.kind === 'later-limit' && each.task === task ? days + each.days : days),
    0,
  );
  return dayOf(lateOn, fromOn) + later;
}

/** The days of a plan on which an item may be done: past its last one already, any day. */
export function windowOf(item: OwedItem, frame: PlanFrame): { earliestDay: number; latestDay: number } {
  const lastDay = frame.dayCount - 1;
  const lateDay = lateDayOf(item, frame);
  const latestDay = lateDay < 0 ? lastDay : Math.min(lastDay, lateDay);
  return {
    earliestDay: Math.min(latestDay, Math.max(0, dayOf(item.earlyOn, frame.fromOn))),
    latestDay,
  };
}

/**
 * What leaving an item out of the plan costs: the stated amount beyond its dearest day, for it goes on waiting, and what
 * it has waited before the plan must not make it cheaper to leave it out than to do it.
 */
export function leftOutCostOf(item: OwedItem, frame: PlanFrame): number {
  return frame.weights.leftOutMinor + Math.max(0, ...dayCostsOfItem(item, windowOf(item, frame), frame));
}

function dayCostsOfItem(
  item: OwedItem,
  window: { earliestDay: number; latestDay: number },
  { weights, fromOn }: PlanFrame,
): Int32Array {
  const { early, late } = dayPrices(item, weights);
  return dayCostsOf({ ...window, dueDay: dayOf(item.dueOn, fromOn) }, early, late);
}

function parcel(owed: readonly OwedItem[], frame: Frame): Parcel {
  const { fromOn, dayCount, fixed = [] } = frame;
  const windows = owed.map((item) => windowOf(item, frame));
  const window = {
    earliestDay: Math.max(...windows.map((each) => each.earliestDay)),
    latestDay: Math.min(...windows.map((each) => each.latestDay)),
  };
  const notBefore = fixedBefore(owed, fixed).map(({ lastDay }) => lastDay);
  const earliestDay = Math.min(dayCount, Math.max(window.earliestDay, ...notBefore));
  const latestDay = Math.min(window.latestDay, ...fixedAfter(owed, fixed).map(({ day }) => day));
  const costs = owed.map((item) => dayCostsOfItem(item, { earliestDay, latestDay }, frame));
  return {
    owed,
    window,
    item: {
      minutes: minutesOf(owed, frame),
      earliestDay,
      latestDay,
      dueDay: Math.min(...owed.map(({ dueOn }) => dayOf(dueOn, fromOn))),
      dayCosts: summedDayCosts(costs),
      leftOutCost: owed.reduce((sum, item) => sum + leftOutCostOf(item, frame), 0),
      doFirst: [],
      settles: [],
    },
  };
}

function isSameWork(a: Parcel, b: Parcel): boolean {
  return (
    a.owed[0]!.task === b.owed[0]!.task &&
    needsOf(a) === needsOf(b) &&
    a.item.dueDay === b.item.dueDay &&
    a.window.earliestDay === b.window.earliestDay &&
    a.window.latestDay === b.window.latestDay
  );
}

/** What it takes time of: work that nobody can do must not keep back work that somebody can. */
function needsOf({ owed }: Parcel): string {
  return [...new Set(owed.flatMap(resourcesTakenBy))].sort().join('\n');
}

function joined(
  parcels: readonly Parcel[],
  frame: Frame,
  goTogether: (a: Parcel, b: Parcel) => boolean,
): Parcel[] {
  const result: Parcel[] = [];
  for (const each of parcels) {
    const at = result.findIndex((other) => goTogether(other, each));
    if (at < 0) result.push(each);
    else result[at] = parcel([...result[at]!.owed, ...each.owed], frame);
  }
  return result;
}

/** Joins the two that are due next to each other; of different needs only if nothing else is left. */
function joinNearest(parcels: readonly Parcel[], frame: Frame): Parcel[] | null {
  let best: { a: Parcel; b: Parcel; apart: number } | null = null;
  for (const [at, a] of parcels.entries())
    for (const b of parcels.slice(at + 1)) {
      const common =
        Math.min(a.item.latestDay, b.item.latestDay) - Math.max(a.item.earliestDay, b.item.earliestDay);
      const otherNeeds = needsOf(a) === needsOf(b) ? 0 : FURTHER_THAN_ANY_DAYS;
      const apart = Math.abs(a.item.dueDay - b.item.dueDay) + otherNeeds;
      if (common >= 0 && (best === null || apart < best.apart)) best = { a, b, apart };
    }
  if (best === null) return null;
  const { a, b } = best;
  return [...parcels.filter((each) => each !== a && each !== b), parcel([...a.owed, ...b.owed], frame)];
}

const FURTHER_THAN_ANY_DAYS = 1_000_000;
