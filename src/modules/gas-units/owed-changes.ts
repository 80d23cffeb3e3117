import type { DueItem } from '../../core/due/due-item';
import type { VehicleDueItemRow } from '../due-items/due-item-row';
import type { UnitDueItemDto } from './dto/unit-due-item.dto';

/** What the comparison looks at. */
export type OwedItem = Pick<DueItem, 'key' | 'cycle' | 'unitId' | 'task' | 'title' | 'position' | 'dueOn'>;

export interface OwedChanges {
  clears: UnitDueItemDto[];
  raises: UnitDueItemDto[];
}

export function owedItemsOf(rows: readonly VehicleDueItemRow[], vehicleId: string): OwedItem[] {
  return rows.flatMap((row) => (row.vehicleId === vehicleId ? (row.details ?? []) : []));
}

/**
 * What came and what went of a vehicle's due items. An item that is about another unit, or about another interval,
 * is another one: the old one went and the new one came.
 */
export function owedChanges(before: readonly OwedItem[], after: readonly OwedItem[]): OwedChanges {
  return { clears: missingFrom(after, before), raises: missingFrom(before, after) };
}

function missingFrom(there: readonly OwedItem[], items: readonly OwedItem[]): UnitDueItemDto[] {
  const known = new Set(there.map(identityOf));
  return items
    .filter((item) => !known.has(identityOf(item)))
    .map(({ key, task, title, position, dueOn }) => ({ key, task, title, position, dueOn }));
}

const identityOf = ({ key, cycle, unitId }: OwedItem): string => JSON.stringify([key, cycle, unitId]);
