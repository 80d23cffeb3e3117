import type { ImportKind } from './import-kind';
import type { ImportRecord } from './import-record';

/** A record with how far beyond the record before it one is in the file once it is done. */
export interface PlacedRecord extends ImportRecord {
  lines: number;
  bytes: number;
}

/** Records of a file that are held in memory at once. */
const WINDOW_LINES = 20_000;
const WINDOW_BYTES = 8 * 1_048_576;
/** Records that are written in one transaction. */
const BATCH_LINES = 1_000;

/** Cuts a file into stretches that fit in memory, however long it is. */
export async function* windows(records: AsyncIterable<ImportRecord>): AsyncGenerator<PlacedRecord[]> {
  let window: PlacedRecord[] = [];
  let windowBytes = 0;
  let previous = { lineNumber: 0, bytesRead: 0 };
  for await (const record of records) {
    const bytes = record.bytesRead - previous.bytesRead;
    window.push({ ...record, lines: record.lineNumber - previous.lineNumber, bytes });
    windowBytes += bytes;
    previous = record;
    if (window.length >= WINDOW_LINES || windowBytes >= WINDOW_BYTES) {
      yield window;
      window = [];
      windowBytes = 0;
    }
  }
  if (window.length > 0) yield window;
}

/**
 * Puts the records of a stretch together that are about the same vehicle, so that it is computed once and not for
 * each of its lines. Answers lists of batches: what is in one list has to be written in its order, different lists
 * have nothing to do with each other. Without a field to go by, all of it is one list in the order of the file.
 */
export function batchesByVehicle(
  records: readonly PlacedRecord[],
  { groupBy, batchLines = BATCH_LINES }: Pick<ImportKind, 'groupBy' | 'batchLines'>,
): PlacedRecord[][][] {
  if (groupBy === undefined) return [cut(records, batchLines)];
  const lists: PlacedRecord[][][] = [];
  let batch: PlacedRecord[] = [];
  for (const group of groupsOf(records, groupBy)) {
    if (batch.length + group.length > batchLines && batch.length > 0) {
      lists.push([batch]);
      batch = [];
    }
    if (group.length > batchLines) lists.push(cut(group, batchLines));
    else batch.push(...group);
  }
  if (batch.length > 0) lists.push([batch]);
  return lists;
}

function cut(records: readonly PlacedRecord[], batchLines: number): PlacedRecord[][] {
  const batches: PlacedRecord[][] = [];
  for (let at = 0; at < records.length; at += batchLines) batches.push(records.slice(at, at + batchLines));
  return batches;
}

// Records that share a key of their own belong together too, whatever they are about: only one of them can have it.
function groupsOf(records: readonly PlacedRecord[], groupBy: string): PlacedRecord[][] {
  const names = records.map(({ values, lineNumber }) => {
    const found = [groupBy, 'externalKey'].flatMap((field) => {
      const value = values?.[field];
      return typeof value === 'string' ? [`${field} ${value}`] : [];
    });
    return found.length > 0 ? found : [`line ${lineNumber}`];
  });
  const above = new Map<string, string>();
  const topOf = (name: string): string => {
    let top = name;
    for (let next = above.get(top); next !== undefined; next = above.get(top)) top = next;
    if (top !== name) above.set(name, top);
    return top;
  };
  for (const [first = '', ...others] of names) {
    for (const other of others) {
      const [top, otherTop] = [topOf(first), topOf(other)];
      if (top !== otherTop) above.set(otherTop, top);
    }
  }
  const groups = new Map<string, PlacedRecord[]>();
  for (const [place, record] of records.entries()) {
    const top = topOf(names[place]?.[0] ?? '');
    const group = groups.get(top);
    if (group === undefined) groups.set(top, [record]);
    else group.push(record);
  }
  return [...groups.values()];
}
