import { Readable } from 'node:stream';
import { Inject, Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { Config } from '../../platform/config/config';
import { CONFIG } from '../../platform/config/config.module';
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
import { importFormatOf, importFormats } from './import-formats';
import { ImportKindsService } from './import-kinds.service';
import { ImportMetrics } from './import-metrics';
import type { Import } from './import.entity';
import { fileExpected, fileTooLarge, importEnded, kindNotAllowed } from './imports.errors';
import { ImportsRepository } from './imports.repository';

const CHUNK_BYTES = 262_144;
const REJECTS_AT_ONCE = 1_000;

@Injectable()
export class ImportsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly imports: ImportsRepository,
    private readonly jobs: Jobs,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    private readonly kinds: ImportKindsService,
    private readonly metrics: ImportMetrics,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** Takes the file in, piece by piece, and queues the work on it. */
  async start(
    { principal }: RequestContext,
    query: StartImportQueryDto,
    contentType: string | undefined,
    body: unknown,
  ): Promise<ImportDto> {
    const format = importFormatOf(contentType);
    if (format === null || !(body instanceof Readable)) throw fileExpected();
    const { roles } = this.kinds.get(query.kind);
    if (roles !== undefined && !roles.includes(principal.role))
      throw kindNotAllowed(query.kind, principal.role, roles);
    const record = await this.transactions.run(principal, (tx) =>
      this.imports.create(tx, {
        organisationId: principal.organisationId,
        kind: query.kind,
        format,
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

  async cancel(context: RequestContext, importId: string, revision: number): Promise<ImportDto> {
    const cancelled = await this.transactions.write(context, async (tx) => {
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
    this.metrics.ended('cancelled');
    return cancelled;
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
   * The lines that could not be used, as a file of the format that they came in and with what is wrong in a last
   * column or field: to be corrected and handed over again as they are.
   */
  async rejects(
    { principal }: RequestContext,
    importId: string,
  ): Promise<{ file: Readable; contentType: string; fileName: string }> {
    const record = await this.transactions.read(principal, (tx) => this.require(tx, principal, importId));
    const { contentType, fileEnding } = importFormats[record.format];
    return {
      file: Readable.from(this.rejectsOf(principal, record)),
      contentType: `${contentType}; charset=utf-8`,
      fileName: `rejects.${fileEnding}`,
    };
  }

  private async *rejectsOf(principal: Principal, { id, format, header }: Import): AsyncGenerator<string> {
    const { rejectsHeader, reject } = importFormats[format];
    yield await rejectsHeader(header);
    for (let afterLine = 0; ;) {
      const lines = await this.transactions.read(principal, (tx) =>
        this.imports.lines(tx, id, 'rejected', afterLine, REJECTS_AT_ONCE),
      );
      const rejects = await Promise.all(lines.slice(0, REJECTS_AT_ONCE).map((line) => reject(line, header)));
      if (rejects.length > 0) yield rejects.join('');
      if (lines.length <= REJECTS_AT_ONCE) return;
      afterLine = lines[REJECTS_AT_ONCE - 1]?.lineNumber ?? 0;
    }
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
