import type { FieldError } from '../errors/coded-error';
import { bulkRejected, type BulkOutcome, type BulkResult } from './bulk-result';

/**
 * What is to become of one row of a batch, decided in memory before anything is written. A row may change or
 * repeat a record that an earlier row of the same batch is to create: the record then is that very object.
 */
export type PlannedRow<Stored, New> =
  | { outcome: 'rejected'; errors: FieldError[] }
  | { outcome: 'created' | 'quarantined'; record: New }
  | { outcome: 'unchanged' | 'updated'; record: Stored | New };

/** The records that a plan creates, each once, in order. */
export function recordsToCreate<Stored, New>(plan: readonly PlannedRow<Stored, New>[]): New[] {
  return plan.flatMap((row) =>
    row.outcome === 'created' || row.outcome === 'quarantined' ? [row.record] : [],
  );
}

/**
 * The results of a batch after its writing.
 *
 * @param created ids of the records that were created; one that is missing was refused by the database
 * because its external key belongs to a record that this key may not see
 */
export function resultsOf<Stored extends { id: string }, New extends object>(
  plan: readonly PlannedRow<Stored, New>[],
  created: ReadonlyMap<New, string>,
): BulkResult[] {
  return plan.map((row) => {
    if (row.outcome === 'rejected') return bulkRejected(...row.errors);
    const id = created.get(row.record as New) ?? ('id' in row.record ? row.record.id : undefined);
    if (typeof id !== 'string') return bulkRejected(keyOutOfSight);
    return { outcome: row.outcome satisfies BulkOutcome, subjectId: id, errors: [] };
  });
}

const keyOutOfSight: FieldError = {
  pointer: '#/externalKey',
  detail: 'another record of your organisation, outside your fleets, has this key',
  remedy: 'use another key',
};

export function noSuchVehicle(vehicleId: string): FieldError {
  return {
    pointer: '#/vehicleKey',
    detail: `there is no vehicle ${vehicleId}`,
    remedy: 'give the key of one of your vehicles',
  };
}

export function keyOfAnotherVehicle(externalKey: string): FieldError {
  return {
    pointer: '#/externalKey',
    detail: `"${externalKey}" is the key of a record of another vehicle`,
    remedy: 'use another key, or correct the vehicle',
  };
}
