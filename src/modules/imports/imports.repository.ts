import { Injectable } from '@nestjs/common';
import { LessThan, MoreThan, Raw, type FindOptionsWhere } from 'typeorm';
import type { BulkOutcome } from '../../platform/bulk/bulk-result';
import type { Tx } from '../../platform/database/transactions';
import type { Principal } from '../../platform/security/principal';
import { ImportLine } from './import-line.entity';
import { Import, type ImportState } from './import.entity';

export interface ImportProgress {
  bytesRead: number;
  linesRead: number;
  linesCreated: number;
  linesUpdated: number;
  linesUnchanged: number;
  linesRejected: number;
}

// A file may be about any fleet: a key that is limited to some sees the files alone that it handed over itself.
const visibleTo = ({ actorId }: Principal): FindOptionsWhere<Import> => ({
  actorId: Raw((column) => `(app.fleet_ids() IS NULL OR ${column} = :actorId)`, { actorId }),
});

@Injectable()
export class ImportsRepository {
  /** Newest first; one row more than `limit`. */
  list(tx: Tx, principal: Principal, beforeId: string | null, limit: number): Promise<Import[]> {
    return tx.find(Import, {
      where: { ...visibleTo(principal), ...(beforeId === null ? {} : { id: LessThan(beforeId) }) },
      order: { id: 'DESC' },
      take: limit + 1,
    });
  }

  find(tx: Tx, principal: Principal, id: string): Promise<Import | null> {
    return tx.findOneBy(Import, { ...visibleTo(principal), id });
  }

  lock(tx: Tx, principal: Principal, id: string): Promise<Import | null> {
    return tx.findOne(Import, {
      where: { ...visibleTo(principal), id },
      lock: { mode: 'pessimistic_write' },
    });
  }

  /** Whether an import is still to be worked on. Nothing is locked: whoever cancels it has not to wait for a batch. */
  async isRunning(tx: Tx, id: string): Promise<boolean> {
    const rows = await tx.query<unknown[]>(`SELECT FROM imports WHERE id = $1 AND state = 'running'`, [id]);
    return rows.length > 0;
  }

  create(
    tx: Tx,
    values: Pick<
      Import,
      'organisationId' | 'kind' | 'format' | 'fileName' | 'dryRun' | 'state' | 'actorId' | 'createdBy'
    >,
  ): Promise<Import> {
    return tx.save(Import, tx.create(Import, values));
  }

  async addChunk(
    tx: Tx,
    organisationId: string,
    importId: string,
    chunkNumber: number,
    bytes: Buffer,
  ): Promise<void> {
    await tx.query(
      `INSERT INTO import_chunks (organisation_id, import_id, chunk_number, bytes) VALUES ($1, $2, $3, $4)`,
      [organisationId, importId, chunkNumber, bytes],
    );
  }

  async chunk(tx: Tx, importId: string, chunkNumber: number): Promise<Buffer | null> {
    const [row] = await tx.query<{ bytes: Buffer }[]>(
      `SELECT bytes FROM import_chunks WHERE import_id = $1 AND chunk_number = $2`,
      [importId, chunkNumber],
    );
    return row?.bytes ?? null;
  }

  async setHeader(tx: Tx, importId: string, header: string): Promise<void> {
    await tx.query(`UPDATE imports SET header = $2 WHERE id = $1`, [importId, header]);
  }

  async removeChunks(tx: Tx, importId: string): Promise<void> {
    await tx.query(`DELETE FROM import_chunks WHERE import_id = $1`, [importId]);
  }

  /** Moves an import on, unless somebody cancelled it; answers whether it moved. */
  async setState(
    tx: Tx,
    importId: string,
    state: ImportState,
    values: { failure?: string; byteCount?: number } = {},
  ): Promise<boolean> {
    const rows = await tx.query<[unknown[], number]>(
      `UPDATE imports SET state = $2, failure = COALESCE($3, failure), byte_count = COALESCE($4, byte_count),
          bytes_read = CASE $2 WHEN 'finished' THEN byte_count ELSE bytes_read END,
          finished_at = CASE WHEN $2 IN ('finished', 'failed', 'cancelled') THEN now() ELSE finished_at END,
          revision = revision + 1
        WHERE id = $1 AND state NOT IN ('finished', 'failed', 'cancelled') RETURNING id`,
      [importId, state, values.failure ?? null, values.byteCount ?? null],
    );
    return rows[1] > 0;
  }

  /** Answers false, and adds nothing, where the import was cancelled meanwhile. */
  async addProgress(tx: Tx, importId: string, progress: ImportProgress): Promise<boolean> {
    const [, count] = await tx.query<[unknown[], number]>(
      `UPDATE imports SET bytes_read = bytes_read + $2, lines_read = lines_read + $3, lines_created = lines_created + $4,
          lines_updated = lines_updated + $5, lines_unchanged = lines_unchanged + $6,
          lines_rejected = lines_rejected + $7, revision = revision + 1
        WHERE id = $1 AND state = 'running'`,
      [
        importId,
        progress.bytesRead,
        progress.linesRead,
        progress.linesCreated,
        progress.linesUpdated,
        progress.linesUnchanged,
        progress.linesRejected,
      ],
    );
    return count > 0;
  }

  async addLines(
    tx: Tx,
    { organisationId, id }: Pick<Import, 'organisationId' | 'id'>,
    lines: readonly Omit<ImportLine, 'organisationId' | 'importId'>[],
  ): Promise<void> {
    await tx.query(
      `INSERT INTO import_lines (organisation_id, import_id, line_number, outcome, subject_id, errors, raw)
        SELECT $1, $2, "lineNumber", outcome, "subjectId", errors, raw
          FROM json_to_recordset($3::json) AS r ("lineNumber" integer, outcome text, "subjectId" uuid, errors jsonb,
            raw text)`,
      [organisationId, id, JSON.stringify(lines)],
    );
  }

  /** Those of some lines that have been reported already. */
  async reportedLines(tx: Tx, importId: string, fromLine: number, untilLine: number): Promise<Set<number>> {
    const rows = await tx.query<{ lineNumber: number }[]>(
      `SELECT line_number AS "lineNumber" FROM import_lines
        WHERE import_id = $1 AND line_number BETWEEN $2 AND $3`,
      [importId, fromLine, untilLine],
    );
    return new Set(rows.map(({ lineNumber }) => lineNumber));
  }

  /** Takes back what has been reported. */
  async startAnew(tx: Tx, importId: string): Promise<void> {
    await tx.query(`DELETE FROM import_lines WHERE import_id = $1`, [importId]);
    await tx.query(
      `UPDATE imports SET bytes_read = 0, lines_read = 0, lines_created = 0, lines_updated = 0, lines_unchanged = 0,
          lines_rejected = 0, revision = revision + 1
        WHERE id = $1`,
      [importId],
    );
  }

  /** By line number; one row more than `limit`. */
  lines(
    tx: Tx,
    importId: string,
    outcome: BulkOutcome | undefined,
    afterLine: number,
    limit: number,
  ): Promise<ImportLine[]> {
    return tx.find(ImportLine, {
      where: { importId, lineNumber: MoreThan(afterLine), ...(outcome === undefined ? {} : { outcome }) },
      order: { lineNumber: 'ASC' },
      take: limit + 1,
    });
  }
}
