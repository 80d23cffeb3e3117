import { comesBefore } from '../../core/visit/goes-together';
import type { OwedItem } from './plan-inputs';

/** Work of a vehicle that has its day, whatever else is planned: it is booked, or locked by hand. */
export interface FixedWork {
  readonly item: OwedItem;
  readonly how: 'booked' | 'locked';
  /** may lie outside of the plan where it is booked */
  readonly day: number;
  readonly lastDay: number;
}

/** Fixed work that has to be done before some items of its vehicle. */
export function fixedBefore(owed: readonly OwedItem[], fixed: readonly FixedWork[]): FixedWork[] {
  return fixed.filter(({ item }) => owed.some((each) => comesBefore(item, each)));
}

/** Fixed work that comes after them. What comes before a plan begins is too early for any of it, and binds nothing. */
export function fixedAfter(owed: readonly OwedItem[], fixed: readonly FixedWork[]): FixedWork[] {
  return fixed.filter(({ item, day }) => day >= 0 && owed.some((each) => comesBefore(each, item)));
}
