import { Injectable } from '@nestjs/common';
import { bulkRejected, type BulkOutcome } from '../../platform/bulk/bulk-result';
import type { CsvRecord } from '../../platform/csv/csv-records';
import { sqlStateOf } from '../../platform/database/connection-errors';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { CodedError, type FieldError } from '../../platform/errors/coded-error';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { valuesOf } from './import-header';
import type { BatchOutcome, ImportColumn, ImportKind } from './import-kind';
import type { ImportProgress } from './imports.repository';

/** What became of one record of the file. */
export interface LineReport {
  lineNumber: number;
  outcome: BulkOutcome;
  subjectId: string | null;
  errors: FieldError[] | null;
  raw: string | null;
}

/** Writes a batch of records in the transaction that it is given, so that a bad one costs only itself. */
@Injectable()
export class ImportBatchService {
  constructor(
    private readonly transactions: Transactions,
    private readonly dueItems: DueItemsService,
  ) {}

  async write(
    tx: Tx,
    principal: Principal,
    kind: ImportKind,
    columns: readonly (ImportColumn | null)[],
    records: readonly CsvRecord[],
  ): Promise<{ lines: LineReport[]; progress: ImportProgress }> {
    const lines: (LineReport | null)[] = [];
    const good: { index: number; row: object }[] = [];
    for (const [index, record] of records.entries()) {
      const checked = checkRecord(record, kind, columns);
      lines.push('errors' in checked ? rejectedLine(record, checked.errors) : null);
      if ('row' in checked) good.push({ index, row: checked.row });
    }
    const { results, vehicleIds } = await this.writeRows(
      tx,
      principal,
      kind,
      good.map(({ row }) => row),
    );
    if (vehicleIds.length > 0) await this.dueItems.recompute(tx, principal, [...new Set(vehicleIds)]);
    for (const [position, { index }] of good.entries()) {
      const result = results[position];
      const record = records[index];
      if (result === undefined || record === undefined)
        throw new Error('an import wrote fewer rows than it was given');
      lines[index] = {
        lineNumber: record.lineNumber,
        outcome: result.outcome,
        subjectId: result.subjectId,
        errors: result.errors.length > 0 ? result.errors : null,
        raw: result.outcome === 'rejected' ? record.raw : null,
      };
    }
    const reports = lines.flatMap((line) => line ?? []);
    return { lines: reports, progress: progressOf(records, reports) };
  }

  /**
   * All rows at once; where the database refuses them for what is in them, in halves, down to the row that it
   * refuses.
   */
  private async writeRows(
    tx: Tx,
    principal: Principal,
    kind: ImportKind,
    rows: readonly object[],
  ): Promise<BatchOutcome> {
    if (rows.length === 0) return { results: [], vehicleIds: [] };
    try {
      return await this.transactions.savepoint(tx, (inner) => kind.write(inner, principal, rows));
    } catch (error) {
      if (!isAboutTheRow(error)) throw error;
      if (rows.length === 1) return { results: [bulkRejected(...errorsOf(error))], vehicleIds: [] };
      const middle = Math.ceil(rows.length / 2);
      const first = await this.writeRows(tx, principal, kind, rows.slice(0, middle));
      const second = await this.writeRows(tx, principal, kind, rows.slice(middle));
      return {
        results: [...first.results, ...second.results],
        vehicleIds: [...first.vehicleIds, ...second.vehicleIds],
      };
    }
  }
}

function checkRecord(
  record: CsvRecord,
  kind: ImportKind,
  columns: readonly (ImportColumn | null)[],
): { row: object } | { errors: FieldError[] } {
  if (record.error !== null) {
    return { errors: [{ detail: record.error, remedy: 'correct the line and import the rejects again' }] };
  }
  if (record.fields.length !== columns.length) {
    return {
      errors: [
        {
          detail: `The line has ${record.fields.length} fields, the header ${columns.length}.`,
          remedy: 'put a field that contains a comma in quotes, and leave no field out',
        },
      ],
    };
  }
  return kind.check(valuesOf(record.fields, columns));
}

// SQLSTATE class 22 is "data exception", 23 "integrity constraint violation", 42501 row security
function isAboutTheRow(error: unknown): boolean {
  if (error instanceof CodedError) return true;
  const state = sqlStateOf(error);
  return state !== undefined && (/^2[23]/.test(state) || state === '42501');
}

function errorsOf(error: unknown): FieldError[] {
  if (error instanceof CodedError && error.fields.length > 0) return [...error.fields];
  const detail = error instanceof CodedError ? error.detail : 'The database refuses the line.';
  return [{ detail, remedy: 'compare the line with its neighbours that were accepted' }];
}

function rejectedLine({ lineNumber, raw }: CsvRecord, errors: FieldError[]): LineReport {
  return { lineNumber, outcome: 'rejected', subjectId: null, errors, raw };
}

function progressOf(records: readonly CsvRecord[], lines: readonly LineReport[]): ImportProgress {
  const count = (...outcomes: BulkOutcome[]): number =>
    lines.filter(({ outcome }) => outcomes.includes(outcome)).length;
  const last = records.at(-1);
  return {
    bytesRead: last?.bytesRead ?? 0,
    linesRead: last?.lineNumber ?? 0,
    // a quarantined reading is on file: a person decides about it later
    linesCreated: count('created', 'quarantined'),
    linesUpdated: count('updated'),
    linesUnchanged: count('unchanged'),
    linesRejected: count('rejected'),
  };
}
