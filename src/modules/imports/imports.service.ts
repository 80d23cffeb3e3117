import { Readable } from 'node:stream';
import { Inject, Injectable } from '@nestjs/common';
import { stringify, type Options } from 'csv-stringify/sync';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { Config } from '../../platform/config/config';
import { CONFIG } from '../../platform/config/config.module';
import { csvRecords } from '../../platform/csv/csv-records';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import { Jobs } from '../../platform/jobs/jobs';
import type { Principal } from '../../platform/security/principal';
import type { ListImportLinesQueryDto, StartImportQueryDto } from './dto/import-query.dto';
import { toImportDto, toImportLineDto, type ImportDto, type ImportLineDto } from './dto/import.dto';
import { PROBLEM_COLUMN } from './import-kind';
import type { ImportLine } from './import-line.entity';
import type { Import } from './import.entity';
import { fileExpected, fileTooLarge, importEnded } from './imports.errors';
import { ImportsRepository } from './imports.repository';

const CHUNK_BYTES = 262_144;
const REJECTS_AT_ONCE = 1_000;
// a line break of either kind within a cell has to stand in quotes, whatever ends the records
const REJECTS_AS: Options = { record_delimiter: 'windows', escape_formulas: true, quoted_match: /[\r\n]/ };

@Injectable()
export class ImportsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly imports: ImportsRepository,
    private readonly jobs: Jobs,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** Takes the file in, piece by piece, and queues the work on it. */
  async start({ principal }: RequestContext, query: StartImportQueryDto, body: unknown): Promise<ImportDto> {
    if (!(body instanceof Readable)) throw fileExpected();
    const record = await this.transactions.run(principal, (tx) =>
      this.imports.create(tx, {
        organisationId: principal.organisationId,
        kind: query.kind,
        fileName: query.fileName ?? null,
        dryRun: query.dryRun ?? false,
        state: 'uploading',
        actorId: principal.actorId,
        createdBy: principal.actor,
      }),
    );
    try {
      const byteCount = await this.receive(principal, record, body);
      return await this.transactions.run(principal, async (tx) => {
        await this.imports.setState(tx, record.id, 'queued', { byteCount });
        await this.jobs.enqueue(tx, 'run-import', {
          organisationId: principal.organisationId,
          importId: record.id,
        });
        const answer = toImportDto(await this.require(tx, principal, record.id));
        await this.audit.record(tx, principal, {
          action: 'started',
          subjectType: 'import',
          subjectId: record.id,
          after: answer,
        });
        return answer;
      });
    } catch (error) {
      await this.transactions.run(principal, async (tx) => {
        await this.imports.setState(tx, record.id, 'failed', { failure: 'The upload broke off.' });
        await this.imports.removeChunks(tx, record.id);
      });
      throw error;
    }
  }

  list({ principal }: RequestContext, { limit = 50, cursor }: PageQueryDto): Promise<Page<ImportDto>> {
    const filter = { list: 'imports', organisationId: principal.organisationId };
    const after = this.cursors.after(cursor, filter);
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.imports.list(tx, principal, after === null ? null : String(after[0]), limit);
      return this.cursors.page(rows, limit, filter, (row) => [row.id], toImportDto);
    });
  }

  get({ principal }: RequestContext, importId: string): Promise<ImportDto> {
    return this.transactions.read(principal, async (tx) =>
      toImportDto(await this.require(tx, principal, importId)),
    );
  }

  cancel(context: RequestContext, importId: string, revision: number): Promise<ImportDto> {
    return this.transactions.write(context, async (tx) => {
      expectRevision(await this.require(tx, context.principal, importId), revision);
      // what a batch gets done while this waits for it is no reason to refuse
      const record = await this.imports.lock(tx, context.principal, importId);
      if (record === null) throw notFound('import', importId);
      if (!(await this.imports.setState(tx, importId, 'cancelled'))) throw importEnded(record.state);
      await this.imports.removeChunks(tx, importId);
      const after = toImportDto(await this.require(tx, context.principal, importId));
      await this.audit.record(tx, context.principal, {
        action: 'cancelled',
        subjectType: 'import',
        subjectId: importId,
        before: toImportDto(record),
        after,
      });
      return after;
    });
  }

  lines(
    { principal }: RequestContext,
    importId: string,
    query: ListImportLinesQueryDto,
  ): Promise<Page<ImportLineDto>> {
    const { limit = 50, cursor, outcome } = query;
    const filter = { list: 'import-lines', organisationId: principal.organisationId, importId, outcome };
    const after = this.cursors.after(cursor, filter);
    return this.transactions.read(principal, async (tx) => {
      await this.require(tx, principal, importId);
      const rows = await this.imports.lines(
        tx,
        importId,
        outcome,
        after === null ? 0 : Number(after[0]),
        limit,
      );
      return this.cursors.page(rows, limit, filter, (row) => [row.lineNumber], toImportLineDto);
    });
  }

  /**
   * The lines that could not be used, under the file's own header and with what is wrong in a last column:
   * to be corrected and handed over again as they are.
   */
  rejects({ principal }: RequestContext, importId: string): Promise<string> {
    return this.transactions.read(principal, async (tx) => {
      const record = await this.require(tx, principal, importId);
      const header = await fieldsOf(record.header ?? '');
      const columns = header.filter((name) => name !== PROBLEM_COLUMN);
      const rows: string[][] = [[...columns, PROBLEM_COLUMN]];
      for (let afterLine = 0; ;) {
        const lines = await this.imports.lines(tx, importId, 'rejected', afterLine, REJECTS_AT_ONCE);
        for (const line of lines.slice(0, REJECTS_AT_ONCE)) {
          rows.push([...(await cellsOf(line, header, columns)), problemOf(line)]);
          afterLine = line.lineNumber;
        }
        if (lines.length <= REJECTS_AT_ONCE) return stringify(rows, REJECTS_AS);
      }
    });
  }

  private async receive(principal: Principal, record: Import, body: Readable): Promise<number> {
    let byteCount = 0;
    let chunkNumber = 0;
    let pending: Buffer[] = [];
    let pendingBytes = 0;
    const flush = async (): Promise<void> => {
      const bytes = Buffer.concat(pending);
      pending = [];
      pendingBytes = 0;
      await this.transactions.run(principal, (tx) =>
        this.imports.addChunk(tx, principal.organisationId, record.id, chunkNumber, bytes),
      );
      chunkNumber += 1;
    };
    for await (const part of body as AsyncIterable<Buffer>) {
      byteCount += part.length;
      if (byteCount > this.config.importLimitBytes) throw fileTooLarge(this.config.importLimitBytes);
      pending.push(part);
      pendingBytes += part.length;
      if (pendingBytes >= CHUNK_BYTES) await flush();
    }
    if (pendingBytes > 0) await flush();
    return byteCount;
  }

  private async require(tx: Tx, principal: Principal, importId: string): Promise<Import> {
    const record = await this.imports.find(tx, principal, importId);
    if (record === null) throw notFound('import', importId);
    return record;
  }
}

async function fieldsOf(text: string): Promise<string[]> {
  async function* once(): AsyncGenerator<Buffer> {
    yield await Promise.resolve(Buffer.from(text));
  }
  const first = await csvRecords(once()).next();
  return first.done !== true && first.value.error === null ? first.value.fields : [];
}

// A line that could not be taken apart stands whole in the first cell, for a person to mend.
async function cellsOf(
  line: ImportLine,
  header: readonly string[],
  columns: readonly string[],
): Promise<string[]> {
  const fields = await fieldsOf(line.raw ?? '');
  if (fields.length !== header.length) return [line.raw ?? '', ...columns.slice(1).map(() => '')];
  return columns.map((name) => fields[header.indexOf(name)] ?? '');
}

function problemOf({ lineNumber, errors }: ImportLine): string {
  const found = (errors ?? []).map(({ pointer, detail, remedy }) =>
    `${pointer ?? ''} ${detail} ${remedy}`.trim(),
  );
  return `line ${lineNumber}: ${found.join('; ')}`;
}
