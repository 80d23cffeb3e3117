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

/** Whether an item has to be done before another one of the same vehicle at its place, at an earlier visit or the same one. */
export function comesBefore(first: RelatedItem, { doBefore, position }: RelatedItem): boolean {
  const isThere = position === null || first.position === null || first.position === position;
  return isThere && doBefore.includes(first.task);
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
    for (const other of open) if (comesBefore(other, each)) together.add(other);
  }
  return [...together];
}
