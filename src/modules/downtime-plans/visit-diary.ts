import { toEpochDay } from '../../core/shared/calendar-date';
import { jobOf } from '../../core/visit/job-of';
import { differenceOf, unionOf, type InstantSet } from '../../core/working-time/instant-set';
import type { PreparedWorkshop } from '../../core/working-time/prepare-diary';
import { searchDiary } from '../../core/working-time/search-diary';
import type { Job, Slot } from '../../core/working-time/workshop';
import { assumedWorkshop } from './assumed-workshop';
import { carriedOutOf } from './carried-out';
import type { CountedVisit } from './plan-figures';
import type { OwedItem, PlanInputs } from './plan-inputs';
import { workMinutesOf } from './plan-items';

/** A visit, as far as its place in a diary is concerned. */
export type VisitToPlace = Pick<CountedVisit, 'workshop' | 'day' | 'lastDay' | 'owed'>;

/** Orders in which the visits of one day are tried; those that found no place come first the next time. */
const ORDERS = 8;

/**
 * The diaries of a plan's workshops while its visits are entered one after the other, each with a time, one bay and people
 * who are there throughout: what the minutes of a day add up to tells nothing of that.
 */
export class VisitDiary {
  private readonly days: Pick<PlanInputs, 'fromOn' | 'fromAt' | 'untilAt'>;
  private readonly entered: PreparedWorkshop[];

  constructor(inputs: Pick<PlanInputs, 'workshops' | 'assumptions' | 'fromOn' | 'fromAt' | 'untilAt'>) {
    this.days = inputs;
    this.entered = inputs.workshops.map(({ prepared }) => assumedWorkshop(inputs, prepared));
  }

  /** As they are now, with what was entered taken. */
  get workshops(): readonly PreparedWorkshop[] {
    return this.entered;
  }

  /** Enters visits, day by day, as many as it can. @returns the place of each; null where there is none */
  enterAll(visits: readonly VisitToPlace[]): (Slot | null)[] {
    const places = visits.map((): Slot | null => null);
    const byDay = Map.groupBy(visits.keys(), (at) => `${visits[at]!.workshop} ${visits[at]!.day}`);
    const groups = [...byDay.values()].sort(([a], [b]) => visits[a!]!.day - visits[b!]!.day);
    for (const group of groups) {
      const own = group.map((at) => ({ at, visit: visits[at]!, job: jobOfVisit(visits[at]!.owed) }));
      const found = this.enterDay(visits[group[0]!]!.workshop, own.sort(hardestFirst));
      for (const [at, slot] of found) places[at] = slot;
    }
    return places;
  }

  /** Takes an entry back. */
  withdraw(workshop: number, slot: Slot): void {
    this.entered[workshop] = withSlot(this.entered[workshop]!, slot, unionOf);
  }

  /** Enters visits of one day at a workshop, in the order that leaves out the fewest. */
  private enterDay(workshop: number, visits: readonly Entry[]): Map<number, Slot> {
    const before = this.entered[workshop]!;
    let best: { found: Map<number, Slot>; after: PreparedWorkshop } | null = null;
    let order = visits;
    for (let tried = 0; tried < ORDERS; tried++) {
      this.entered[workshop] = before;
      const found = new Map<number, Slot>();
      for (const { at, visit, job } of order) {
        const slot = this.firstSlot(visit, job);
        if (slot === null) continue;
        found.set(at, slot);
        this.entered[workshop] = withSlot(this.entered[workshop], slot, differenceOf);
      }
      if (best === null || found.size > best.found.size) best = { found, after: this.entered[workshop] };
      if (found.size === visits.length) break;
      const isFirst = ({ at }: Entry): boolean => !found.has(at);
      order = [...order.filter(isFirst), ...order.filter((each) => !isFirst(each))];
    }
    this.entered[workshop] = best!.after;
    return best!.found;
  }

  private firstSlot({ workshop, day, lastDay }: VisitToPlace, job: Job): Slot | null {
    const { fromOn, ...range } = this.days;
    const prepared = this.entered[workshop]!;
    const startOf = (of: number): number => prepared.clock.instantOf(toEpochDay(fromOn) + of, 0);
    const fromAt = Math.max(range.fromAt, startOf(day));
    const untilAt = Math.min(range.untilAt, startOf(lastDay + 1));
    if (fromAt >= untilAt) return null;
    const diary = { fromAt: range.fromAt, untilAt: range.untilAt, workshops: [prepared] };
    // the vehicle is at no other visit on these days
    const [slot] = searchDiary(diary, { job, fromAt, untilAt, count: 1, vehicleBusy: [] });
    return slot ?? null;
  }
}

interface Entry {
  readonly at: number;
  readonly visit: VisitToPlace;
  readonly job: Job;
}

/** As the desk books it. */
function jobOfVisit(owed: readonly OwedItem[]): Job {
  return jobOf(
    carriedOutOf(owed).map((item) => ({
      minutes: workMinutesOf(item),
      competences: item.competences,
      bayKind: item.bayKind,
    })),
  );
}

/** What needs most at once finds a place least easily, then what takes longest. */
function hardestFirst(a: Entry, b: Entry): number {
  const needs = ({ job }: Entry): number => job.needed.length + job.bayKinds.length;
  return needs(b) - needs(a) || b.job.minutes - a.job.minutes || a.at - b.at;
}

/** A workshop in whose diary the times of a slot are taken (`differenceOf`) or free again (`unionOf`). */
function withSlot(
  workshop: PreparedWorkshop,
  { bayId, technicianIds, bayFromAt, bayUntilAt, pieces }: Slot,
  change: (free: InstantSet, times: InstantSet) => InstantSet,
): PreparedWorkshop {
  const worked = pieces.flatMap(({ startsAt, endsAt }) => [startsAt, endsAt]);
  return {
    ...workshop,
    bays: workshop.bays.map((each) =>
      each.bay.id === bayId ? { ...each, free: change(each.free, [bayFromAt, bayUntilAt]) } : each,
    ),
    people: workshop.people.map((each) =>
      technicianIds.includes(each.technician.id) ? { ...each, free: change(each.free, worked) } : each,
    ),
  };
}
