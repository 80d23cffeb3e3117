import { addDays, CalendarDate, daysBetween } from '../shared/calendar-date';
import { DueItem } from '../due/due-item';
import { comesFirst, settles } from './goes-together';
import { fewestVisits, VisitWindow } from './fewest-visits';

/** What a suggestion is made from. */
export type SuggestedItem = Pick<
  DueItem,
  | 'key'
  | 'task'
  | 'title'
  | 'position'
  | 'earlyOn'
  | 'dueOn'
  | 'lateOn'
  | 'beyondHorizon'
  | 'missing'
  | 'doBefore'
  | 'satisfies'
> & {
  /** What its interval is counted from; null where nothing is known. */
  readonly baselineOn: CalendarDate | null;
};

/** A due item that was not asked for and could be done at the same visit. */
export interface VisitSuggestion {
  readonly key: string;
  /** Days of its interval that are given away if it is done at the visit; 0 where it is due by then; null where no date can be told. */
  readonly daysGivenAway: number | null;
  /** The same as a share of its interval, 0 to 1; null where it is not known from when that is counted. */
  readonly shareGivenAway: number | null;
  /** How many visits less there are within the horizon after the visit. */
  readonly visitsSaved: number;
  readonly worthwhile: boolean;
  /** For people. */
  readonly sentence: string;
}

/** How far after a visit other visits are counted. */
export const DEFAULT_HORIZON_DAYS = 180;
/** Giving away more of an interval than this is not worth a visit saved. */
export const DEFAULT_LARGEST_SHARE = 0.25;

/**
 * What else is worth doing at a visit: for each due item that was not chosen and falls due within the horizon, what
 * doing it now gives away, and how many visits it saves. Worthwhile is what is due by then anyway, may be done by then
 * already, or saves a visit for no more than a stated share of its interval. Items without a date are told last, with
 * what has to be looked at.
 *
 * What a chosen item settles is not suggested. With an item goes what has to be done before it: the visits saved are
 * those of all of it together, and it is worthwhile only if none of it gives away too much. The least number of visits
 * is that of `fewestVisits` over the windows of what is left, each from the day after the visit; intervals that begin
 * after the visit are not counted, with or without the item.
 *
 * @returns the most worthwhile first: by visits saved, then by days given away, then by key
 */
export function visitSuggestions(
  items: readonly SuggestedItem[],
  chosenKeys: readonly string[],
  visitOn: CalendarDate,
  { horizonDays = DEFAULT_HORIZON_DAYS, largestShare = DEFAULT_LARGEST_SHARE } = {},
): VisitSuggestion[] {
  const chosen = items.filter(({ key }) => chosenKeys.includes(key));
  const horizonOn = addDays(visitOn, horizonDays);
  const open = items.filter(
    (item) =>
      !chosen.some((each) => settles(each, item)) &&
      (item.dueOn === null
        ? !item.beyondHorizon
        : item.dueOn <= horizonOn || (item.earlyOn ?? item.dueOn) <= visitOn),
  );
  const visitsFor = (left: readonly SuggestedItem[]): number =>
    fewestVisits(left.flatMap((item) => windowsOf(item, visitOn)));
  const visitsWithout = visitsFor(open);
  return open
    .map((item): VisitSuggestion => {
      const together = comesFirst(item, open);
      const left = open.filter((other) => !together.some((each) => settles(each, other)));
      const visitsSaved = item.dueOn === null ? 0 : visitsWithout - visitsFor(left);
      const costs = together.map((each) => costOf(each, visitOn));
      const cost = costOf(item, visitOn);
      return {
        key: item.key,
        daysGivenAway: cost.days,
        shareGivenAway: cost.share,
        visitsSaved,
        worthwhile:
          item.dueOn !== null &&
          (costs.every(({ isOpen }) => isOpen) ||
            (visitsSaved > 0 && costs.every((each) => each.isOpen || isCheap(each, largestShare)))),
        sentence: sentenceOf(item, cost, visitsSaved, together.slice(1)),
      };
    })
    .sort(
      (a, b) =>
        Number(b.worthwhile) - Number(a.worthwhile) ||
        b.visitsSaved - a.visitsSaved ||
        (a.daysGivenAway ?? Infinity) - (b.daysGivenAway ?? Infinity) ||
        (a.key < b.key ? -1 : 1),
    );
}

interface Cost {
  /** Null where no date can be told. */
  days: number | null;
  intervalDays: number | null;
  share: number | null;
  /** It may be done at the visit whatever else is: its window has begun, or nobody knows when it does. */
  isOpen: boolean;
}

function costOf({ dueOn, earlyOn, baselineOn }: SuggestedItem, visitOn: CalendarDate): Cost {
  if (dueOn === null) return { days: null, intervalDays: null, share: null, isOpen: true };
  const days = Math.max(0, daysBetween(visitOn, dueOn));
  const counted = baselineOn === null ? 0 : daysBetween(baselineOn, dueOn);
  const intervalDays = counted > 0 ? counted : null;
  const share = days === 0 ? 0 : intervalDays === null ? null : Math.min(1, days / intervalDays);
  return { days, intervalDays, share, isOpen: (earlyOn ?? dueOn) <= visitOn };
}

function isCheap({ share }: Cost, largestShare: number): boolean {
  return share !== null && share <= largestShare;
}

// what is overdue by the visit needs the next day that there is
function windowsOf({ earlyOn, dueOn, lateOn }: SuggestedItem, visitOn: CalendarDate): VisitWindow[] {
  if (dueOn === null) return [];
  const next = addDays(visitOn, 1);
  const last = lateOn ?? dueOn;
  const from = earlyOn ?? dueOn;
  return [{ fromOn: from < next ? next : from, lastOn: last < next ? next : last }];
}

function sentenceOf(
  { dueOn, missing }: SuggestedItem,
  { days, intervalDays, share }: Cost,
  visitsSaved: number,
  first: readonly SuggestedItem[],
): string {
  const before =
    first.length === 0
      ? []
      : [
          `With what comes before it: ${first.map(({ title, position }) => title + (position === null ? '' : ` at ${position}`)).join(', ')}.`,
        ];
  if (dueOn === null || days === null)
    return [
      'Nobody can tell yet when it is due.',
      ...missing.map(({ sentence }) => sentence),
      ...before,
    ].join(' ');
  const saved = visitsSaved === 0 ? 'saves no visit' : `saves ${count(visitsSaved, 'visit')}`;
  const given =
    days === 0
      ? `Due ${dueOn}, by this visit: gives away nothing, ${saved}.`
      : `Due ${dueOn}, ${count(days, 'day')} after this visit: gives away ${
          share === null || intervalDays === null
            ? count(days, 'day')
            : `${days} of ${count(intervalDays, 'day')} (${Math.round(100 * share)} %)`
        }, ${saved}.`;
  return [given, ...before].join(' ');
}

function count(value: number, noun: string): string {
  return `${value} ${noun}${value === 1 ? '' : 's'}`;
}
