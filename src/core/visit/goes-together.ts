import { DueItem } from '../due/due-item';

/** The part of a due item that says what else goes with it. */
export type RelatedItem = Pick<DueItem, 'key' | 'task' | 'position' | 'doBefore' | 'satisfies'>;

/**
 * Whether work done for one due item settles another one of the same vehicle, itself included: the same task, or one
 * that it satisfies. Work at a position counts there only; on an item without a position only if it is its own task.
 */
export function settles(done: RelatedItem, { key, task, position }: RelatedItem): boolean {
  if (done.key === key) return true;
  const isThere = done.position === null || done.position === position;
  return done.task === task ? isThere || position === null : isThere && done.satisfies.includes(task);
}

/**
 * An item with everything open that has to be done before it at its place, and before that in turn.
 *
 * @returns the item first
 */
export function comesFirst<Item extends RelatedItem>(item: Item, open: readonly Item[]): Item[] {
  const together = new Set([item]);
  // a set also hands out what is added while it is gone through
  for (const each of together) {
    for (const other of open) {
      const isThere = each.position === null || other.position === null || other.position === each.position;
      if (isThere && each.doBefore.includes(other.task)) together.add(other);
    }
  }
  return [...together];
}
