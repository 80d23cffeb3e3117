import { Injectable } from '@nestjs/common';
import { InputError } from '../../core/shared/input-error';
import { bulkRejected, type BulkOutcome } from '../../platform/bulk/bulk-result';
import { sqlStateOf } from '../../platform/database/connection-errors';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { CodedError, type FieldError } from '../../platform/errors/coded-error';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import type { PlacedRecord } from './import-batches';
import type { BatchOutcome, ImportKind } from './import-kind';
import type { ImportRecord } from './import-record';
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
    records: readonly PlacedRecord[],
  ): Promise<{ lines: LineReport[]; progress: ImportProgress }> {
    const lines: (LineReport | null)[] = [];
    const good: { index: number; row: object }[] = [];
    for (const [index, record] of records.entries()) {
      const checked = record.values === null ? record : kind.check(record.values);
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

// SQLSTATE class 22 is "data exception", 23 "integrity constraint violation", 42501 row security
function isAboutTheRow(error: unknown): boolean {
  if (error instanceof CodedError || error instanceof InputError) return true;
  const state = sqlStateOf(error);
  return state !== undefined && (/^2[23]/.test(state) || state === '42501');
}

function errorsOf(error: unknown): FieldError[] {
  if (error instanceof CodedError && error.fields.length > 0) return [...error.fields];
  if (error instanceof InputError)
    return [{ pointer: `#/${error.field}`, detail: error.message, remedy: error.remedy }];
  const detail = error instanceof CodedError ? error.detail : 'The database refuses the line.';
  return [{ detail, remedy: 'correct the line and import the rejects again' }];
}

function rejectedLine({ lineNumber, raw }: ImportRecord, errors: FieldError[]): LineReport {
  return { lineNumber, outcome: 'rejected', subjectId: null, errors, raw };
}

function progressOf(records: readonly PlacedRecord[], lines: readonly LineReport[]): ImportProgress {
  const count = (...outcomes: BulkOutcome[]): number =>
    lines.filter(({ outcome }) => outcomes.includes(outcome)).length;
  return {
    bytesRead: records.reduce((sum, { bytes }) => sum + bytes, 0),
    linesRead: records.reduce((sum, { lines: span }) => sum + span, 0),
    // a quarantined reading is on file: a person decides about it later
    linesCreated: count('created', 'quarantined'),
    linesUpdated: count('updated'),
    linesUnchanged: count('unchanged'),
    linesRejected: count('rejected'),
  };
}
