import type { BulkResult } from '../../platform/bulk/bulk-result';
import type { Tx } from '../../platform/database/transactions';
import type { FieldError } from '../../platform/errors/coded-error';
import type { Principal } from '../../platform/security/principal';
import type { Role } from '../../platform/security/role';

export const importKindNames = [
  'fleets',
  'depots',
  'workshops',
  'vehicles',
  'duty-changes',
  'hydraulic-layouts',
  'odometer-replacements',
  'off-road-periods',
  'blackout-periods',
  'rosters',
  'odometer-readings',
  'service-history',
  'system-tests',
  'gas-units',
  'unit-placements',
  'unit-tests',
  'bookings',
] as const;
export type ImportKindName = (typeof importKindNames)[number];

export const importColumnTypes = ['text', 'number', 'boolean', 'nested'] as const;
export type ImportColumnType = (typeof importColumnTypes)[number];

export interface ImportColumn {
  name: string;
  /** `nested` is made of several parts, for which CSV has no column */
  type: ImportColumnType;
  /** a CSV file without this column is refused as a whole */
  required: boolean;
}

/** What is done with the checked lines of a batch, and the vehicles whose due items may have moved. */
export interface BatchOutcome {
  results: BulkResult[];
  vehicleIds: string[];
}

/** How the lines of one kind of file are read and written. */
export interface ImportKind {
  /** who may hand such a file over: whoever may write one such record; left out, those who may import at all */
  roles?: readonly Role[];
  /** records that are written in one transaction; left out, as many as for most kinds */
  batchLines?: number;
  columns: readonly ImportColumn[];
  /**
   * Field that names the vehicle, or whatever else a line is about: lines about different ones may be written in any
   * order. Without one, lines are written in the order of the file.
   */
  groupBy?: string;
  /** Checks the fields of a line alone; answers the row to write, or what is wrong. */
  check(values: Readonly<Record<string, unknown>>): { row: object } | { errors: FieldError[] };
  /** Resolves the operator's keys and writes the rows, in their order. */
  write(tx: Tx, principal: Principal, rows: readonly object[]): Promise<BatchOutcome>;
}
