import type { CalendarDate } from '../../core/shared/calendar-date';
import { DEFAULT_LABOUR_MINUTES } from '../../core/visit/job-of';
import { visitSuggestions } from '../../core/visit/visit-suggestions';
import type { VehicleDueItemRow } from '../due-items/due-item-row';
import type { BookedWork } from './booked-work';
import type { VisitSuggestionDto } from './dto/free-times.dto';

/** @param baselines from which day the interval of each item is counted, by its key */
export function suggestionsFor(
  rows: readonly VehicleDueItemRow[],
  baselines: ReadonlyMap<string, CalendarDate | null>,
  { items }: BookedWork,
  visitOn: CalendarDate,
): VisitSuggestionDto[] {
  const owed = new Map(
    rows.flatMap(({ details }) => (details === null ? [] : [[details.key, details] as const])),
  );
  const chosen = items.map(({ dueItemKey }) => dueItemKey);
  const known = [...owed.values()].map((item) => ({ ...item, baselineOn: baselines.get(item.key) ?? null }));
  return visitSuggestions(known, chosen, visitOn).flatMap(({ key, ...suggestion }) => {
    const item = owed.get(key);
    if (item === undefined) return [];
    const { task, title, position, dueOn, labourMinutes } = item;
    const minutes = labourMinutes ?? DEFAULT_LABOUR_MINUTES;
    return [{ dueItemKey: key, task, title, position, dueOn, minutes, ...suggestion }];
  });
}
