import type { DueItem } from '../../core/due/due-item';
import type { ClearedByTestDto, RaisedByTestDto } from './dto/system-test.dto';

/** What the comparison looks at. */
export type OwedItem = Pick<
  DueItem,
  'key' | 'cycle' | 'kind' | 'task' | 'title' | 'position' | 'driver' | 'dueOn'
>;

/**
 * What a test settled and what it brought about, from a vehicle's items before and after it. An item is settled
 * when it is gone, or is about another interval now, or is owed no more because of a failure; one that is owed
 * because of a failure now, and was not before, was brought about.
 */
export function effectOfTest(
  before: readonly OwedItem[],
  after: readonly OwedItem[],
  testId: string,
): { clears: ClearedByTestDto[]; raises: RaisedByTestDto[] } {
  const now = new Map(after.map((item) => [item.key, item]));
  const old = new Map(before.map((item) => [item.key, item]));
  const hasFailed = (item: OwedItem | undefined): boolean => item?.driver === 'failed-test';
  // a follow-up that counts from this test has only just begun
  const isBegun = (item: OwedItem): boolean => item.kind === 'follow-up' && item.cycle === testId;
  const clears = before.flatMap((item): ClearedByTestDto[] => {
    const next = now.get(item.key);
    if (next !== undefined) {
      const isMended = hasFailed(item) && !hasFailed(next);
      if (isBegun(next) || hasFailed(next) || (next.cycle === item.cycle && !isMended)) return [];
    }
    const { key, task, title, position, dueOn } = item;
    const dueOnAfter = next?.dueOn ?? null;
    return [{ key, task, title, position, dueOnBefore: dueOn, dueOnAfter, comesBack: next !== undefined }];
  });
  const raises = after
    .filter((item) => {
      const earlier = old.get(item.key);
      return (
        earlier === undefined ||
        (isBegun(item) && earlier.cycle !== item.cycle) ||
        (hasFailed(item) && !hasFailed(earlier))
      );
    })
    .map(({ key, task, title, position, dueOn }): RaisedByTestDto => ({ key, task, title, position, dueOn }));
  return { clears, raises };
}
