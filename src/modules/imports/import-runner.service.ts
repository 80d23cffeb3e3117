import { Inject, Injectable } from '@nestjs/common';
import type { Logger } from 'pino';
import { csvRecords, type CsvRecord } from '../../platform/csv/csv-records';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { CodedError } from '../../platform/errors/coded-error';
import { LOGGER } from '../../platform/observability/logging';
import { systemPrincipal, type Principal } from '../../platform/security/principal';
import { ImportBatchService, type LineReport } from './import-batch.service';
import { checkHeader } from './import-header';
import type { ImportColumn, ImportKind } from './import-kind';
import { ImportKinds } from './import-kinds';
import type { Import } from './import.entity';
import { ImportsRepository } from './imports.repository';

const BATCH = 500;

// Thrown to take a dry run's transaction back; it never leaves this file.
class TakeBack extends Error {}

/**
 * Works through an uploaded file, batch by batch. A batch, its report and its progress are one transaction:
 * whenever the process dies, the next run goes on after the last batch that was committed.
 */
@Injectable()
export class ImportRunnerService {
  constructor(
    private readonly transactions: Transactions,
    private readonly imports: ImportsRepository,
    private readonly kinds: ImportKinds,
    private readonly batch: ImportBatchService,
    @Inject(LOGGER) private readonly logger: Logger,
  ) {}

  async run(organisationId: string, importId: string): Promise<void> {
    const system = systemPrincipal(organisationId, 'file import');
    const record = await this.transactions.run(system, (tx) => this.imports.find(tx, system, importId));
    if (record === null || (record.state !== 'queued' && record.state !== 'running')) return;
    // on behalf of the key that handed the file over, within the fleets of that key
    const principal: Principal = { ...system, actorId: record.actorId, actor: record.createdBy };
    try {
      await this.transactions.run(system, (tx) => this.imports.setState(tx, importId, 'running'));
      const failure = await this.work(principal, record);
      await this.finish(system, importId, failure);
    } catch (error) {
      if (!(error instanceof CodedError) || error.code === 'unavailable') throw error;
      // the key has been revoked meanwhile: no later attempt would fare better
      this.logger.warn({ importId, code: error.code }, 'import stopped');
      await this.finish(system, importId, error.detail);
    }
  }

  private async work(principal: Principal, record: Import): Promise<string | null> {
    const records = csvRecords(this.chunks(principal, record.id));
    const first = await records.next();
    if (first.done === true) return 'The file is empty: the first line names the columns.';
    const header = first.value;
    if (header.error !== null) return `The first line cannot be read: ${header.error}.`;
    const kind = this.kinds.get(record.kind);
    const checked = checkHeader(header.fields, kind.columns);
    if ('failure' in checked) return checked.failure;
    await this.transactions.run(principal, (tx) => this.imports.setHeader(tx, record.id, header.raw));
    if (record.dryRun) await this.tryOut(principal, record, kind, checked.columns, records);
    else await this.store(principal, record, kind, checked.columns, records);
    return null;
  }

  private async store(
    principal: Principal,
    record: Import,
    kind: ImportKind,
    columns: readonly (ImportColumn | null)[],
    records: AsyncIterable<CsvRecord>,
  ): Promise<void> {
    for await (const batch of batches(records, record.linesRead)) {
      const goOn = await this.transactions.run(principal, async (tx) => {
        const current = await this.imports.lock(tx, principal, record.id);
        if (current?.state !== 'running') return false;
        const { lines, progress } = await this.batch.write(tx, principal, kind, columns, batch);
        await this.addLines(tx, record, lines);
        await this.imports.addProgress(tx, record.id, progress);
        return true;
      });
      if (!goOn) return;
    }
  }

  /**
   * The whole file in one transaction that is taken back at the end, so that later lines are judged beside
   * earlier ones, as they would be.
   */
  private async tryOut(
    principal: Principal,
    record: Import,
    kind: ImportKind,
    columns: readonly (ImportColumn | null)[],
    records: AsyncIterable<CsvRecord>,
  ): Promise<void> {
    const reports: Awaited<ReturnType<ImportBatchService['write']>>[] = [];
    try {
      await this.transactions.run(principal, async (tx) => {
        for await (const batch of batches(records, 0))
          reports.push(await this.batch.write(tx, principal, kind, columns, batch));
        throw new TakeBack();
      });
    } catch (error) {
      if (!(error instanceof TakeBack)) throw error;
    }
    await this.transactions.run(principal, async (tx) => {
      const current = await this.imports.lock(tx, principal, record.id);
      // cancelled meanwhile, or reported already by an attempt that died right afterwards
      if (current?.state !== 'running' || current.linesRead > 0) return;
      for (const { lines, progress } of reports) {
        // what was created has been taken back: its id leads nowhere
        const shown = lines.map((line) => (isNew(line) ? { ...line, subjectId: null } : line));
        await this.addLines(tx, record, shown);
        await this.imports.addProgress(tx, record.id, progress);
      }
    });
  }

  private async addLines(
    tx: Tx,
    { organisationId, id }: Import,
    lines: readonly LineReport[],
  ): Promise<void> {
    await this.imports.addLines(
      tx,
      lines.map((line) => ({ organisationId, importId: id, ...line })),
    );
  }

  private async *chunks(principal: Principal, importId: string): AsyncGenerator<Buffer> {
    for (let number = 0; ; number++) {
      const bytes = await this.transactions.run(principal, (tx) => this.imports.chunk(tx, importId, number));
      if (bytes === null) return;
      yield bytes;
    }
  }

  private async finish(system: Principal, importId: string, failure: string | null): Promise<void> {
    await this.transactions.run(system, async (tx) => {
      await this.imports.setState(
        tx,
        importId,
        failure === null ? 'finished' : 'failed',
        failure === null ? {} : { failure },
      );
      await this.imports.removeChunks(tx, importId);
    });
  }
}

function isNew({ outcome }: LineReport): boolean {
  return outcome === 'created' || outcome === 'quarantined';
}

async function* batches(records: AsyncIterable<CsvRecord>, afterLine: number): AsyncGenerator<CsvRecord[]> {
  let batch: CsvRecord[] = [];
  for await (const record of records) {
    if (record.lineNumber <= afterLine) continue;
    batch.push(record);
    if (batch.length === BATCH) {
      yield batch;
      batch = [];
    }
  }
  if (batch.length > 0) yield batch;
}
