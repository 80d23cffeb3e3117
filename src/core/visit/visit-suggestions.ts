import { addDays, CalendarDate, daysBetween } from '../shared/calendar-date';
import { DueItem } from '../due/due-item';
import { fewestVisits, VisitWindow } from './fewest-visits';

/** What a suggestion is made from. */
export type SuggestedItem = Pick<
  DueItem,
  'key' | 'task' | 'title' | 'position' | 'earlyOn' | 'dueOn' | 'lateOn' | 'doBefore' | 'satisfies'
> & {
  /** What its interval is counted from; null where nothing is known. */
  readonly baselineOn: CalendarDate | null;
};

/** A due item that was not asked for and could be done at the same visit. */
export interface VisitSuggestion {
  readonly key: string;
  /** Days of its interval that are given away if it is done at the visit; 0 where it is due by then. */
  readonly daysGivenAway: number;
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
 * already, or saves a visit for no more than a stated share of its interval.
 *
 * Items that come with a chosen one (`satisfies`) are not suggested. Items that cannot be told a date are left out:
 * they need a look, not a visit. The least number of visits is that of `fewestVisits` over the windows of what is
 * left, each from the day after the visit.
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
  const comesAlong = new Set(chosen.flatMap(({ satisfies }) => satisfies));
  const horizonOn = addDays(visitOn, horizonDays);
  const left = items.filter(
    (item): item is Dated =>
      !chosenKeys.includes(item.key) &&
      !comesAlong.has(item.task) &&
      item.dueOn !== null &&
      (item.dueOn <= horizonOn || (item.earlyOn ?? item.dueOn) <= visitOn),
  );
  const visitsWithout = fewestVisits(left.map((item) => windowOf(item, visitOn)));
  return left
    .map((item) => {
      const others = left.filter((other) => other !== item);
      const visitsSaved = visitsWithout - fewestVisits(others.map((other) => windowOf(other, visitOn)));
      return suggestion(item, visitOn, visitsSaved, largestShare);
    })
    .sort(
      (a, b) =>
        Number(b.worthwhile) - Number(a.worthwhile) ||
        b.visitsSaved - a.visitsSaved ||
        a.daysGivenAway - b.daysGivenAway ||
        (a.key < b.key ? -1 : 1),
    );
}

type Dated = SuggestedItem & { dueOn: CalendarDate };

// what is overdue by the visit needs the next day that there is
function windowOf({ earlyOn, dueOn, lateOn }: Dated, visitOn: CalendarDate): VisitWindow {
  const next = addDays(visitOn, 1);
  const last = lateOn ?? dueOn;
  const from = earlyOn ?? dueOn;
  const lastOn = last < next ? next : last;
  return { fromOn: from < next ? next : from, lastOn };
}

function suggestion(
  { key, baselineOn, earlyOn, dueOn }: Dated,
  visitOn: CalendarDate,
  visitsSaved: number,
  largestShare: number,
): VisitSuggestion {
  const daysGivenAway = Math.max(0, daysBetween(visitOn, dueOn));
  const intervalDays = baselineOn === null ? 0 : daysBetween(baselineOn, dueOn);
  const shareGivenAway =
    daysGivenAway === 0 ? 0 : intervalDays > 0 ? Math.min(1, daysGivenAway / intervalDays) : null;
  const mayBeDone = (earlyOn ?? dueOn) <= visitOn;
  const isCheap = shareGivenAway !== null && shareGivenAway <= largestShare;
  const worthwhile = mayBeDone || (visitsSaved > 0 && isCheap);
  return {
    key,
    daysGivenAway,
    shareGivenAway,
    visitsSaved,
    worthwhile,
    sentence: sentenceOf(dueOn, daysGivenAway, intervalDays, shareGivenAway, visitsSaved),
  };
}

function sentenceOf(
  dueOn: CalendarDate,
  daysGivenAway: number,
  intervalDays: number,
  share: number | null,
  visitsSaved: number,
): string {
  const saved = visitsSaved === 0 ? 'saves no visit' : `saves ${count(visitsSaved, 'visit')}`;
  if (daysGivenAway === 0) return `Due ${dueOn}, by this visit: gives away nothing, ${saved}.`;
  const after = `Due ${dueOn}, ${count(daysGivenAway, 'day')} after this visit`;
  return share === null
    ? `${after}: gives away ${count(daysGivenAway, 'day')}, ${saved}.`
    : `${after}: gives away ${daysGivenAway} of ${count(intervalDays, 'day')} (${Math.round(100 * share)} %), ${saved}.`;
}

function count(value: number, noun: string): string {
  return `${value} ${noun}${value === 1 ? '' : 's'}`;
}
