/**
 * The question of a downtime plan, in numbers: which vehicle goes off the road on which day, to which workshop, with
 * which work. Days are numbered from 0, the first day of the plan; money is in whole hundredths of the currency; what
 * is booked or locked already is taken off beforehand (`freeMinutes`, `spareVehicles`, `blackoutDays`).
 */
export interface PlanProblem {
  readonly dayCount: number;
  /**
   * What a workshop has minutes of on a day. The first is the bays, whose minutes are the length of a visit; then kinds
   * of bay, people, competences: whatever can run short by itself.
   */
  readonly resources: readonly string[];
  /**
   * What the last of the resources are made of, as many as there are lists here: a visit that takes minutes of all those
   * in the list takes its whole length of such a one. A bay that is of two kinds at once is one. None where it is missing.
   */
  readonly joint?: readonly (readonly number[])[];
  readonly workshops: readonly PlanWorkshop[];
  readonly depots: readonly PlanDepot[];
  readonly vehicles: readonly PlanVehicle[];
}

export interface PlanWorkshop {
  /** `[day * resources.length + resource]`: minutes that are free. */
  readonly freeMinutes: Int32Array;
  /** `[day]`: the most minutes of work that one vehicle can get there on that day; 0 where the workshop is closed. */
  readonly visitMinutes: Int32Array;
  /** Whether work that is longer than any day goes on the next day that is open, the vehicle staying meanwhile. */
  readonly keepsOvernight: boolean;
}

export interface PlanDepot {
  /** `[day]`: how many of its vehicles may be off the road at once. */
  readonly spareVehicles: Int32Array;
}

export interface PlanVehicle {
  /** Index of its depot. */
  readonly depot: number;
  /** The workshops that it can go to, the nearest first; what a visit there costs, the work aside. */
  readonly reach: readonly { readonly workshop: number; readonly visitCost: number }[];
  /** Days on which it has to stay on the road. */
  readonly blackoutDays: readonly number[];
  /** At most `MAX_ITEMS`. */
  readonly items: readonly PlanItem[];
}

/** Work on one vehicle that is done at one visit. */
export interface PlanItem {
  /** `[resource]`: what it takes, whole minutes; the first is its length. */
  readonly minutes: readonly number[];
  /** The first and the last day on which it may be done, both included, within the plan. */
  readonly earliestDay: number;
  readonly latestDay: number;
  /** The day it is due; may lie outside the window and outside the plan. */
  readonly dueDay: number;
  /** `[day - earliestDay]`: what doing it on that day costs, by life given away or by risk. */
  readonly dayCosts: Int32Array;
  /** What leaving it out of the plan costs. */
  readonly leftOutCost: number;
  /** Items of the same vehicle that have to be done at an earlier visit or at the same one. */
  readonly doFirst: readonly number[];
  /** Items of the same vehicle that are settled by the way, without minutes of their own, at the same visit. */
  readonly settles: readonly number[];
}

/** The number of subsets doubles with each item of a vehicle; ten are a thousand. */
export const MAX_ITEMS = 10;

/**
 * A visit of a plan. It ends on the day it begins, unless one of its items alone is longer than any day of a workshop
 * that keeps vehicles overnight: then the work goes on for as many open days as it takes, as `stayOf` tells. Its items
 * count as done on its last day.
 */
export interface PlannedVisit {
  readonly vehicle: number;
  readonly workshop: number;
  /** The day on which the vehicle arrives. */
  readonly day: number;
  /** Indices of the vehicle's items, ascending. */
  readonly items: readonly number[];
}

/** Every item of every vehicle is at one visit or left out. */
export interface PlanDraft {
  /** In order of vehicle, then of day. */
  readonly visits: readonly PlannedVisit[];
  readonly leftOut: readonly { readonly vehicle: number; readonly item: number }[];
  readonly cost: number;
}

/** What a day may cost at the most: more does not fit into the arrays of the search, and would decide nothing. */
export const DEAREST_DAY = 2 ** 31 - 1;

/**
 * What doing an item costs on each day of its window: life given away before the day it is due, risk after it.
 *
 * @returns whole hundredths of the currency, `[day - earliestDay]`; `DEAREST_DAY` at the most
 */
export function dayCostsOf(
  { earliestDay, latestDay, dueDay }: Pick<PlanItem, 'earliestDay' | 'latestDay' | 'dueDay'>,
  costPerEarlyDay: number,
  costPerLateDay: number,
): Int32Array {
  return Int32Array.from({ length: Math.max(0, latestDay - earliestDay + 1) }, (_, at) => {
    const daysLate = earliestDay + at - dueDay;
    const cost = Math.round(daysLate < 0 ? -daysLate * costPerEarlyDay : daysLate * costPerLateDay);
    return Math.min(cost, DEAREST_DAY);
  });
}

/** What several items that are done together cost on each day. @param costs one list for each, all as long */
export function summedDayCosts(costs: readonly Int32Array[]): Int32Array {
  const [first = new Int32Array(0), ...others] = costs;
  return first.map((cost, at) =>
    Math.min(
      others.reduce((sum, each) => sum + each[at]!, cost),
      DEAREST_DAY,
    ),
  );
}
