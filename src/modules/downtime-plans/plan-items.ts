import { DEFAULT_LABOUR_MINUTES } from '../../core/visit/job-of';
import { comesBefore, settles } from '../../core/visit/goes-together';
import { dayCostsOf, MAX_ITEMS, type PlanItem } from '../../core/downtime-plan/plan-problem';
import { daysBetween, type CalendarDate } from '../../core/shared/calendar-date';
import { fixedAfter, fixedBefore, type FixedWork } from './fixed-work';
import type { OwedItem, PlanInputs, PlanWeights } from './plan-inputs';
import { BAYS, bayKindResource, competenceResource, PEOPLE } from './workshop-days';

/** What an interval is taken to be where it is not known when it began. */
const USUAL_INTERVAL_DAYS = 365;

/** A piece of a plan: one due item, or several that are done together because a vehicle has too many. */
export interface Parcel {
  readonly owed: readonly OwedItem[];
  /** as the items have it by themselves; that of `item` also keeps to what is done before and after them anyway */
  readonly window: { readonly earliestDay: number; readonly latestDay: number };
  readonly item: PlanItem;
}

type Frame = Pick<PlanInputs, 'fromOn' | 'dayCount' | 'weights' | 'assumptions'> & {
  readonly resources: readonly string[];
  /** of the same vehicle */
  readonly fixed?: readonly FixedWork[];
};

/**
 * The due items of one vehicle as a plan takes them. Windows are those of the items, cut to the plan; what is past its
 * late limit already may be done on any day, at its risk. What is booked or locked keeps what comes before it, or after
 * it, on its side; no day may be left then. Items that are due alike and are the same task go together, and
 * while there are more than a plan can take, those whose windows have most in common.
 */
export function parcelsOf(owed: readonly OwedItem[], frame: Frame): Parcel[] {
  let parcels = owed.map((item) => parcel([item], frame));
  parcels = joined(parcels, frame, isSameWork);
  while (parcels.length > MAX_ITEMS) {
    const fewer = joinNearest(parcels, frame);
    if (fewer === null) break;
    parcels = fewer;
  }
  return parcels.map(({ owed: own, window, item }) => ({
    owed: own,
    window,
    item: {
      ...item,
      doFirst: indices(
        parcels,
        (other) => own.some((each) => other.owed.some((first) => comesBefore(first, each))),
        own,
      ),
      settles: indices(
        parcels,
        (other) => other.owed.every((each) => own.some((done) => settles(done, each))),
        own,
      ),
    },
  }));
}

/** The minutes that an item takes of each resource. */
export function minutesOf(
  { labourMinutes, competences, bayKind }: Pick<OwedItem, 'labourMinutes' | 'competences' | 'bayKind'>,
  resources: readonly string[],
): number[] {
  const minutes = labourMinutes ?? DEFAULT_LABOUR_MINUTES;
  const taken = new Set([BAYS, PEOPLE, ...competences.map(competenceResource)]);
  if (bayKind !== null) taken.add(bayKindResource(bayKind));
  return resources.map((resource) => (taken.has(resource) ? minutes : 0));
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
export function lateDayOf({ task, lateOn }: OwedItem, { fromOn, assumptions }: Frame): number {
  const later = assumptions.reduce(
    (days, each) => (each.kind === 'later-limit' && each.task === task ? days + each.days : days),
    0,
  );
  return dayOf(lateOn, fromOn) + later;
}

function parcel(owed: readonly OwedItem[], frame: Frame): Parcel {
  const { fromOn, dayCount, weights, resources, fixed = [] } = frame;
  const windows = owed.map((item) => {
    const lateDay = lateDayOf(item, frame);
    const latestDay = lateDay < 0 ? dayCount - 1 : Math.min(dayCount - 1, lateDay);
    return { earliestDay: Math.min(latestDay, Math.max(0, dayOf(item.earlyOn, fromOn))), latestDay };
  });
  const window = {
    earliestDay: Math.max(...windows.map((each) => each.earliestDay)),
    latestDay: Math.min(...windows.map((each) => each.latestDay)),
  };
  const first = Math.max(window.earliestDay, ...fixedBefore(owed, fixed).map(({ lastDay }) => lastDay));
  const earliestDay = Math.min(dayCount, first);
  const latestDay = Math.min(window.latestDay, ...fixedAfter(owed, fixed).map(({ day }) => day));
  const dayCosts = new Int32Array(Math.max(0, latestDay - earliestDay + 1));
  for (const item of owed) {
    const { early, late } = dayPrices(item, weights);
    dayCostsOf({ earliestDay, latestDay, dueDay: dayOf(item.dueOn, fromOn) }, early, late).forEach(
      (cost, at) => (dayCosts[at]! += cost),
    );
  }
  const minutes = resources.map(() => 0);
  for (const item of owed)
    minutesOf(item, resources).forEach((each, resource) => (minutes[resource]! += each));
  return {
    owed,
    window,
    item: {
      minutes,
      earliestDay,
      latestDay,
      dueDay: Math.min(...owed.map(({ dueOn }) => dayOf(dueOn, fromOn))),
      dayCosts,
      leftOutCost: owed.length * weights.leftOutMinor,
      doFirst: [],
      settles: [],
    },
  };
}

function isSameWork(a: Parcel, b: Parcel): boolean {
  return (
    a.owed[0]!.task === b.owed[0]!.task &&
    a.item.dueDay === b.item.dueDay &&
    a.window.earliestDay === b.window.earliestDay &&
    a.window.latestDay === b.window.latestDay
  );
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

/** @returns null where no two windows have a day in common */
function joinNearest(parcels: readonly Parcel[], frame: Frame): Parcel[] | null {
  let best: { a: Parcel; b: Parcel; apart: number } | null = null;
  for (const [at, a] of parcels.entries())
    for (const b of parcels.slice(at + 1)) {
      const common =
        Math.min(a.item.latestDay, b.item.latestDay) - Math.max(a.item.earliestDay, b.item.earliestDay);
      const apart = Math.abs(a.item.dueDay - b.item.dueDay);
      if (common >= 0 && (best === null || apart < best.apart)) best = { a, b, apart };
    }
  if (best === null) return null;
  const { a, b } = best;
  return [...parcels.filter((each) => each !== a && each !== b), parcel([...a.owed, ...b.owed], frame)];
}

function indices(
  parcels: readonly Parcel[],
  isOne: (other: Parcel) => boolean,
  own: readonly OwedItem[],
): number[] {
  return [...parcels.keys()].filter((index) => parcels[index]!.owed !== own && isOne(parcels[index]!));
}
