import type { BulkResult } from '../../platform/bulk/bulk-result';
import type { Tx } from '../../platform/database/transactions';
import type { FieldError } from '../../platform/errors/coded-error';
import type { Principal } from '../../platform/security/principal';

export const importKindNames = [
  'vehicles',
  'duty-changes',
  'hydraulic-layouts',
  'odometer-replacements',
  'off-road-periods',
  'odometer-readings',
  'service-history',
  'gas-units',
  'unit-placements',
  'unit-tests',
] as const;
export type ImportKindName = (typeof importKindNames)[number];

export interface ImportColumn {
  name: string;
  type: 'text' | 'number';
  /** a file without this column is refused as a whole */
  required: boolean;
}

/** What is done with the checked lines of a batch, and the vehicles whose due items may have moved. */
export interface BatchOutcome {
  results: BulkResult[];
  vehicleIds: string[];
}

/** How the lines of one kind of file are read and written. */
export interface ImportKind {
  columns: readonly ImportColumn[];
  /** Checks the fields of a line alone; answers the row to write, or what is wrong. */
  check(values: Record<string, string | number | null>): { row: object } | { errors: FieldError[] };
  /** Resolves the operator's keys and writes the rows, in their order. */
  write(tx: Tx, principal: Principal, rows: readonly object[]): Promise<BatchOutcome>;
}

/** A column added by the file of rejects; it says what was wrong and is passed over when read again. */
export const PROBLEM_COLUMN = 'problem';
