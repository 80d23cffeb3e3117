/** One place in a record that became something else. */
export interface Difference {
  /** names of fields and numbers of elements, such as `weeklyHours / 0 / windows` */
  place: string;
  /** undefined where there was nothing */
  before: unknown;
  after: unknown;
}

// they change with every change, and say nothing about it
const COUNTERS = ['revision', 'updatedAt'];

/** What changed from one state of a record to the next, the smallest parts of it, in the order of the fields. */
export function differences(before: unknown, after: unknown, place: readonly string[] = []): Difference[] {
  if (JSON.stringify(before) === JSON.stringify(after)) return [];
  if (isRecord(before) && isRecord(after)) {
    const names = [...new Set([...Object.keys(before), ...Object.keys(after)])];
    return names
      .filter((name) => place.length > 0 || !COUNTERS.includes(name))
      .flatMap((name) => differences(before[name], after[name], [...place, name]));
  }
  if (Array.isArray(before) && Array.isArray(after) && before.length === after.length)
    return before.flatMap((value, index) => differences(value, after[index], [...place, String(index + 1)]));
  // a record that was made or deleted: field by field, too, so that it can be read
  if (place.length === 0 && isRecord(after ?? before)) return differences(before ?? {}, after ?? {}, place);
  return [{ place: place.join(' / '), before, after }];
}

const isRecord = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
