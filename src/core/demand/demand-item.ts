import { CalendarDate } from '../shared/calendar-date';
import { Consumable } from '../due/rule';

/**
 * When a piece of work falls due, as far as it is known.
 *
 * - `fixed`: on that day, surely.
 * - `quantiles`: the days by which it has fallen due with a probability of 10 %, 50 % and 90 %. `medianOn` is
 *   the 50 % day of the crossing itself, not a due date that a rule sets at another probability. A day is null
 *   where it lies beyond `horizonOn`, the last day of the forecast; so is every later one then.
 * - `curve`: probability of having fallen due by the end of a day; days rise, probabilities do not fall. The
 *   last one may stay below 1: it may never fall due.
 */
export type FallsDue =
  | { readonly kind: 'fixed'; readonly on: CalendarDate }
  | {
      readonly kind: 'quantiles';
      readonly earliestOn: CalendarDate | null;
      readonly medianOn: CalendarDate | null;
      readonly latestOn: CalendarDate | null;
      /** Needed only where one of the three is null. */
      readonly horizonOn: CalendarDate | null;
    }
  | { readonly kind: 'curve'; readonly points: readonly DuePoint[] };

export interface DuePoint {
  readonly on: CalendarDate;
  /** 0 to 1. */
  readonly probability: number;
}

/** One piece of work that will be asked for, with what it takes. */
export interface DemandItem {
  /** Names the item where its data cannot be used. */
  readonly code: string;
  readonly task: string;
  /** Null where the rule does not say. */
  readonly labourMinutes: number | null;
  readonly consumables: readonly Consumable[];
  readonly fallsDue: FallsDue;
  /** Days from one to the next, at least 1, need not be whole; null where it does not come back. */
  readonly repeatsEveryDays: number | null;
}
