import { addDays, daysBetween, isoWeekday } from '../../../core/shared/calendar-date';
import type { components } from '../../generated/contract';

export type FleetDueItem = components['schemas']['FleetDueItemDto'];
export type DueState = FleetDueItem['state'];

/** Most pressing first. */
export const DUE_STATES: readonly DueState[] = ['overdue', 'due', 'due-soon', 'not-due', 'undetermined'];

/** Work of one depot in one week. */
export interface DueCell {
  items: FleetDueItem[];
  countByState: Record<DueState, number>;
  /** of the work whose labour is known */
  minutes: number;
  withoutMinutes: number;
}

export interface DueColumn {
  /** `before`: work that was due before the first week; else the Monday of the week */
  key: string;
  /** null in the column of what was due before */
  weekOn: string | null;
}

export interface DueMatrix {
  columns: DueColumn[];
  rows: { depotId: string; name: string; cells: DueCell[]; total: DueCell }[];
  /** `[column]`, over all depots */
  totals: DueCell[];
}

/** What was due before the first week. */
export const BEFORE = 'before';

export const mondayOf = (on: string): string => addDays(on, 1 - isoWeekday(on));

/** Due work of depots by ISO week, from the week of `fromOn`; what was due before it stands in a column of its own. */
export function dueMatrix(
  items: readonly FleetDueItem[],
  depots: readonly { id: string; name: string }[],
  fromOn: string,
  weeks: number,
): DueMatrix {
  const firstOn = mondayOf(fromOn);
  const columns: DueColumn[] = [
    { key: BEFORE, weekOn: null },
    ...Array.from({ length: weeks }, (_, week) => {
      const weekOn = addDays(firstOn, 7 * week);
      return { key: weekOn, weekOn };
    }),
  ];
  const columnOf = ({ dueOn }: FleetDueItem): number => {
    if (dueOn === null) return -1;
    const day = daysBetween(firstOn, dueOn);
    if (day < 0) return 0;
    return day < 7 * weeks ? 1 + Math.floor(day / 7) : -1;
  };
  const shown = items.map((item) => ({ item, column: columnOf(item) })).filter(({ column }) => column >= 0);
  const cellsOf = (own: typeof shown): DueCell[] =>
    columns.map((_, column) => cellOf(own.filter((each) => each.column === column).map(({ item }) => item)));
  return {
    columns,
    rows: depots.map(({ id, name }) => {
      const own = shown.filter(({ item }) => item.depotId === id);
      return { depotId: id, name, cells: cellsOf(own), total: cellOf(own.map(({ item }) => item)) };
    }),
    totals: cellsOf(shown),
  };
}

export function cellOf(items: FleetDueItem[]): DueCell {
  const countByState: DueCell['countByState'] = {
    overdue: 0,
    due: 0,
    'due-soon': 0,
    'not-due': 0,
    undetermined: 0,
  };
  let minutes = 0;
  let withoutMinutes = 0;
  for (const { state, labourMinutes } of items) {
    countByState[state] += 1;
    if (labourMinutes === null) withoutMinutes += 1;
    else minutes += labourMinutes;
  }
  return { items, countByState, minutes, withoutMinutes };
}
