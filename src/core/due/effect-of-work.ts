import { CalendarDate } from '../shared/calendar-date';
import { DueItem } from './due-item';

/** What the comparison looks at. */
export type OwedItem = Pick<
  DueItem,
  'key' | 'cycle' | 'kind' | 'task' | 'title' | 'position' | 'driver' | 'dueOn'
>;

type Told = Pick<OwedItem, 'key' | 'task' | 'title' | 'position'>;

/** An item that the work settled; `dueOnAfter` is null where nothing more is owed or no date can be told. */
export interface SettledItem extends Told {
  dueOnBefore: CalendarDate | null;
  dueOnAfter: CalendarDate | null;
  /** False where the work settled it for good. */
  comesBack: boolean;
}

/** An item that the work brought about. */
export interface RaisedItem extends Told {
  dueOn: CalendarDate | null;
}

/** The same piece of work as before, on another day. */
export interface MovedItem extends Told {
  dueOnBefore: CalendarDate | null;
  dueOnAfter: CalendarDate | null;
}

/** What work did to the items of one vehicle. */
export interface EffectOfWork {
  clears: SettledItem[];
  raises: RaisedItem[];
  moves: MovedItem[];
}

/**
 * What a completion, a test or a charge settled, brought about and moved, from a vehicle's items before and after it.
 * An item is settled when it is gone, is about another interval now, or is owed no more because of a failed test; one
 * that is owed because of a failed test now, and was not before, was brought about. A follow-up that counts from this
 * work is not settled by it: it has only just begun.
 *
 * @param workId id of the completion, test or charge
 */
export function effectOfWork(
  before: readonly OwedItem[],
  after: readonly OwedItem[],
  workId: string,
): EffectOfWork {
  const now = new Map(after.map((item) => [item.key, item]));
  const old = new Map(before.map((item) => [item.key, item]));
  const hasFailed = (item: OwedItem): boolean => item.driver === 'failed-test';
  const isBegun = (item: OwedItem): boolean => item.kind === 'follow-up' && item.cycle === workId;
  const isSettled = (item: OwedItem, next: OwedItem): boolean =>
    !isBegun(next) && !hasFailed(next) && (next.cycle !== item.cycle || hasFailed(item));
  const isRaised = (item: OwedItem, last: OwedItem): boolean =>
    (isBegun(item) && last.cycle !== item.cycle) || (hasFailed(item) && !hasFailed(last));

  const effect: EffectOfWork = { clears: [], raises: [], moves: [] };
  for (const item of before) {
    const next = now.get(item.key);
    const dates = { dueOnBefore: item.dueOn, dueOnAfter: next?.dueOn ?? null };
    if (next === undefined || isSettled(item, next))
      effect.clears.push({ ...told(item), ...dates, comesBack: next !== undefined });
    else if (!isRaised(next, item) && next.dueOn !== item.dueOn)
      effect.moves.push({ ...told(item), ...dates });
  }
  for (const item of after) {
    const last = old.get(item.key);
    if (last === undefined || isRaised(item, last)) effect.raises.push({ ...told(item), dueOn: item.dueOn });
  }
  return effect;
}

function told({ key, task, title, position }: OwedItem): Told {
  return { key, task, title, position };
}
