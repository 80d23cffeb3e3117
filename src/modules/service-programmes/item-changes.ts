import type { DueItem } from '../../core/due/due-item';
import { stateOn, type DueState } from '../../core/due/state';
import { daysBetween, type CalendarDate } from '../../core/shared/calendar-date';

export const MOVES = [
  'window-moved',
  'earlier',
  'later',
  'new',
  'gone',
  'became-undetermined',
  'became-determined',
] as const;
export type Move = (typeof MOVES)[number];

/** What the comparison looks at. */
export type ComparedItem = Pick<
  DueItem,
  | 'key'
  | 'task'
  | 'title'
  | 'position'
  | 'safetyCritical'
  | 'driver'
  | 'earlyOn'
  | 'dueOn'
  | 'lateOn'
  | 'beyondHorizon'
>;

/** One item of a vehicle before and after; one of the two may be missing. */
export interface ItemChange {
  /** the item as it would be; as it was where it would be gone */
  item: ComparedItem;
  /** null where neither date nor window moves */
  move: Move | null;
  movedDays: number | null;
  dueOnBefore: CalendarDate | null;
  dueOnAfter: CalendarDate | null;
  stateBefore: DueState | null;
  stateAfter: DueState | null;
}

/** The items of one vehicle before and after, matched by key. */
export function itemChanges(
  before: readonly ComparedItem[],
  after: readonly ComparedItem[],
  todayOn: CalendarDate,
): ItemChange[] {
  const old = new Map(before.map((item) => [item.key, item]));
  const changes = after.map((item) => change(old.get(item.key) ?? null, item, todayOn));
  const kept = new Set(after.map(({ key }) => key));
  for (const item of before) if (!kept.has(item.key)) changes.push(change(item, null, todayOn));
  return changes;
}

function change(before: ComparedItem | null, after: ComparedItem | null, todayOn: CalendarDate): ItemChange {
  const item = after ?? before;
  if (item === null) throw new Error('a change of nothing');
  const dueOnBefore = before?.dueOn ?? null;
  const dueOnAfter = after?.dueOn ?? null;
  return {
    item,
    move: moveOf(before, after),
    movedDays: dueOnBefore === null || dueOnAfter === null ? null : daysBetween(dueOnBefore, dueOnAfter),
    dueOnBefore,
    dueOnAfter,
    stateBefore: before && stateOn(before, todayOn),
    stateAfter: after && stateOn(after, todayOn),
  };
}

function moveOf(before: ComparedItem | null, after: ComparedItem | null): Move | null {
  if (before === null) return 'new';
  if (after === null) return 'gone';
  if (before.driver !== null && after.driver === null) return 'became-undetermined';
  if (before.driver === null && after.driver !== null) return 'became-determined';
  const [from, to] = [dateOrNever(before), dateOrNever(after)];
  if (from !== to) return to < from ? 'earlier' : 'later';
  return before.earlyOn === after.earlyOn && before.lateOn === after.lateOn ? null : 'window-moved';
}

// beyond the horizon of the forecasts is later than any date
const dateOrNever = ({ dueOn }: ComparedItem): string => dueOn ?? '9999-12-31';
