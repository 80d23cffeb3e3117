import { PlanItem } from './plan-problem';

/**
 * The order in which the items of a vehicle are looked at when some settle others: what settles before what it settles,
 * else by index; a circle is entered at its lowest index. At a visit, an item is carried out unless one that comes before
 * it in this order, and is carried out there itself, settles it.
 *
 * @returns all indices of the items
 */
export function settlingOrder(items: readonly Pick<PlanItem, 'settles'>[]): number[] {
  const left = new Set(items.keys());
  const order: number[] = [];
  while (left.size > 0) {
    const all = [...left];
    const next = all.find(
      (index) => !all.some((other) => other !== index && items[other]!.settles.includes(index)),
    );
    const index = next ?? all[0]!;
    left.delete(index);
    order.push(index);
  }
  return order;
}
