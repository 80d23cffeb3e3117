import { settles, type RelatedItem } from '../../core/visit/goes-together';

/** Those items of a visit that take work of their own: not settled by one before them that does. */
export function carriedOutOf<Item extends RelatedItem>(items: readonly Item[]): Item[] {
  const settlesAnother = (item: Item): boolean =>
    items.some((other) => other.key !== item.key && settles(item, other) && !settles(other, item));
  const order = [...items].sort((a, b) => Number(settlesAnother(b)) - Number(settlesAnother(a)));
  const done: Item[] = [];
  for (const item of order) if (!done.some((each) => settles(each, item))) done.push(item);
  return items.filter((item) => done.includes(item));
}
