import type { DueItem } from '../../core/due/due-item';
import type { RaisedItemDto, SettledItemDto } from './dto/task-completion.dto';

/** What the comparison looks at. */
export type OwedItem = Pick<
  DueItem,
  'key' | 'cycle' | 'kind' | 'task' | 'title' | 'position' | 'driver' | 'dueOn'
>;

/**
 * What a completion settled and what it brought about, from a vehicle's items before and after it. An item is
 * settled when it is gone, or is about another interval now. A follow-up that counts from this completion is
 * not settled by it: it has only just begun. A test that failed brings its item about at once.
 */
export function effectOfCompletion(
  before: readonly OwedItem[],
  after: readonly OwedItem[],
  completionId: string,
): { clears: SettledItemDto[]; raises: RaisedItemDto[] } {
  const now = new Map(after.map((item) => [item.key, item]));
  const old = new Map(before.map((item) => [item.key, item]));
  const hasFailed = (failing: OwedItem, other: OwedItem): boolean =>
    failing.driver === 'failed-test' && other.driver !== 'failed-test';
  const isBegun = (item: OwedItem): boolean => item.kind === 'follow-up' && item.cycle === completionId;
  const clears = before.flatMap((item): SettledItemDto[] => {
    const next = now.get(item.key);
    if (next !== undefined && (isBegun(next) || (next.cycle === item.cycle && !hasFailed(item, next))))
      return [];
    const { key, task, title, position, dueOn } = item;
    return [
      {
        key,
        task,
        title,
        position,
        dueOnBefore: dueOn,
        dueOnAfter: next?.dueOn ?? null,
        comesBack: next !== undefined,
      },
    ];
  });
  const raises = after
    .filter((item) => {
      const before = old.get(item.key);
      return (
        before === undefined || (isBegun(item) && before.cycle !== item.cycle) || hasFailed(item, before)
      );
    })
    .map(({ key, task, title, position, dueOn }): RaisedItemDto => ({ key, task, title, position, dueOn }));
  return { clears, raises };
}
