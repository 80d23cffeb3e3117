import type { BulkResult } from './bulk-result';

/** A row that names its record by the operator's key. */
export type Keyed<Row> = Omit<Row, 'externalKey'> & { externalKey: string };

/** How one kind of record is found by its key, added and changed. */
export interface Upserts<Row, Stored> {
  /** takes the record for the transaction */
  find: (externalKey: string) => Promise<Stored | null>;
  add: (row: Row) => Promise<{ id: string }>;
  /** answers the record as it is then, with a higher revision where anything was changed */
  change: (stored: Stored, row: Row) => Promise<{ id: string; revision: number }>;
}

/** Adds or changes records one after the other, for kinds of which nobody has many. */
export async function upsertEach<Row extends { externalKey: string }, Stored extends { revision: number }>(
  rows: readonly Row[],
  { find, add, change }: Upserts<Row, Stored>,
): Promise<BulkResult[]> {
  const results: BulkResult[] = [];
  for (const row of rows) {
    const stored = await find(row.externalKey);
    if (stored === null) {
      results.push({ outcome: 'created', subjectId: (await add(row)).id, errors: [] });
    } else {
      const { revision } = stored;
      const after = await change(stored, row);
      const outcome = after.revision === revision ? 'unchanged' : 'updated';
      results.push({ outcome, subjectId: after.id, errors: [] });
    }
  }
  return results;
}
