import { DueItem } from '../due/due-item';
import { CalendarDate } from '../shared/calendar-date';

/** A due item whose date, or whose piece of work, is another than before. */
export interface ChangedDate {
  key: string;
  title: string;
  position: string | null;
  /** Null: not owed then, or not told. */
  dueOnBefore: CalendarDate | null;
  dueOnAfter: CalendarDate | null;
}

type Owed = Pick<DueItem, 'key' | 'cycle' | 'title' | 'position' | 'dueOn'>;

/** What a change of the records moved among what a vehicle owes, in order of the keys. */
export function changedDates(before: readonly Owed[], after: readonly Owed[]): ChangedDate[] {
  const [old, now] = [before, after].map((items) => new Map(items.map((item) => [item.key, item])));
  const keys = [...new Set([...before, ...after].map(({ key }) => key))].sort();
  return keys.flatMap((key) => {
    const [was, is] = [old?.get(key), now?.get(key)];
    const known = is ?? was;
    if (known === undefined || (was?.dueOn === is?.dueOn && was?.cycle === is?.cycle)) return [];
    const { title, position } = known;
    return [{ key, title, position, dueOnBefore: was?.dueOn ?? null, dueOnAfter: is?.dueOn ?? null }];
  });
}
