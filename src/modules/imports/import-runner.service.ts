import { Inject, Injectable } from '@nestjs/common';
import type { Logger } from 'pino';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { CodedError } from '../../platform/errors/coded-error';
import { LOGGER } from '../../platform/observability/logging';
import { systemPrincipal, type Principal } from '../../platform/security/principal';
import { batchesByVehicle, windows, type PlacedRecord } from './import-batches';
import { ImportBatchService, type LineReport } from './import-batch.service';
import { importFormats } from './import-formats';
import type { ImportKind } from './import-kind';
import { ImportKindsService } from './import-kinds.service';
import { ImportMetrics } from './import-metrics';
import type { ImportRecord, OpenedFile } from './import-record';
import type { Import } from './import.entity';
import { ImportsRepository, type ImportProgress } from './imports.repository';

/** While the database writes one batch, the next is prepared. */
const BATCHES_AT_ONCE = 2;

// Thrown to take a transaction back, that of a dry run or of a batch that was cancelled; it never leaves this file.
class TakeBack extends Error {}

/**
 * Works through an uploaded file, batch by batch. A batch, its report and its progress are one transaction: whenever
 * the process dies, the next run does what has not been reported yet.
 */
@Injectable()
export class ImportRunnerService {
  constructor(
    private readonly transactions: Transactions,
    private readonly imports: ImportsRepository,
    private readonly kinds: ImportKindsService,
    private readonly batch: ImportBatchService,
    private readonly metrics: ImportMetrics,
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

  /** Ends an import whose work failed again and again for no reason that lies in the file. */
  async giveUp(organisationId: string, importId: string): Promise<void> {
    this.logger.error({ importId }, 'import given up');
    await this.finish(systemPrincipal(organisationId, 'file import'), importId, GIVEN_UP);
  }

  private async work(principal: Principal, record: Import): Promise<string | null> {
    const kind = this.kinds.get(record.kind);
    const open = (): Promise<OpenedFile> =>
      importFormats[record.format].open(this.chunks(principal, record.id), kind);
    const file = await open();
    if ('failure' in file) return file.failure;
    const { header, records } = file;
    if (header !== null)
      await this.transactions.run(principal, (tx) => this.imports.setHeader(tx, record.id, header));
    if (record.dryRun) await this.tryOut(principal, record, kind, open);
    else await this.store(principal, record, kind, records);
    return null;
  }

  private async store(
    principal: Principal,
    record: Import,
    kind: ImportKind,
    records: AsyncIterable<ImportRecord>,
  ): Promise<void> {
    const isResumed = record.linesRead > 0;
    for await (const window of windows(records)) {
      const open = isResumed ? await this.notReported(principal, record, window) : window;
      const lists = batchesByVehicle(open, kind).values();
      const stop = new AbortController();
      const workThrough = async (): Promise<void> => {
        for (const list of lists) {
          for (const batch of list) {
            if (stop.signal.aborted) return;
            if (!(await this.storeBatch(principal, record, kind, batch))) stop.abort();
          }
        }
      };
      const stopOthers = (error: unknown): never => {
        stop.abort();
        throw error;
      };
      // one that fails lets the other come to the end of its batch: nothing goes on behind the back of the next run
      const ends = await Promise.allSettled(
        Array.from({ length: BATCHES_AT_ONCE }, () => workThrough().catch(stopOthers)),
      );
      for (const end of ends) if (end.status === 'rejected') throw end.reason;
      if (stop.signal.aborted) return;
    }
  }

  private async storeBatch(
    principal: Principal,
    record: Import,
    kind: ImportKind,
    batch: readonly PlacedRecord[],
  ): Promise<boolean> {
    try {
      const done = await this.transactions.run(principal, async (tx) => {
        if (!(await this.imports.isRunning(tx, record.id))) throw new TakeBack();
        const { lines, progress } = await this.batch.write(tx, principal, kind, batch);
        await this.report(tx, record, lines, progress);
        return progress;
      });
      this.metrics.count(done);
      return true;
    } catch (error) {
      if (error instanceof TakeBack) return false;
      throw error;
    }
  }

  private async notReported(
    principal: Principal,
    { id }: Import,
    window: PlacedRecord[],
  ): Promise<PlacedRecord[]> {
    const [first, last] = [window[0]?.lineNumber ?? 0, window.at(-1)?.lineNumber ?? 0];
    const reported = await this.transactions.run(principal, (tx) =>
      this.imports.reportedLines(tx, id, first, last),
    );
    return window.filter(({ lineNumber }) => !reported.has(lineNumber));
  }

  /**
   * The whole file in one transaction that is taken back at the end, so that later lines are judged beside earlier
   * ones, as they would be. What is found is reported beside it, batch by batch.
   */
  private async tryOut(
    principal: Principal,
    record: Import,
    kind: ImportKind,
    open: () => Promise<OpenedFile>,
  ): Promise<void> {
    try {
      await this.transactions.run(principal, async (tx) => {
        // from the beginning, whatever an attempt that was repeated or a process that died had reported
        await this.transactions.run(principal, (other) => this.imports.startAnew(other, record.id));
        const file = await open();
        if ('failure' in file)
          throw new Error(`a file that was opened cannot be opened again: ${file.failure}`);
        for await (const window of windows(file.records)) {
          for (const batch of batchesByVehicle(window, kind).flat()) {
            const { lines, progress } = await this.batch.write(tx, principal, kind, batch);
            await this.reportTrial(principal, record, lines, progress);
          }
        }
        throw new TakeBack();
      });
    } catch (error) {
      if (!(error instanceof TakeBack)) throw error;
    }
  }

  private async reportTrial(
    principal: Principal,
    record: Import,
    lines: readonly LineReport[],
    progress: ImportProgress,
  ): Promise<void> {
    // what was created will be taken back: its id leads nowhere
    const shown = lines.map((line) => (isNew(line) ? { ...line, subjectId: null } : line));
    await this.transactions.run(principal, (tx) => this.report(tx, record, shown, progress));
  }

  // The progress comes last: it holds the import's row until the commit, and whoever cancels waits no longer than that.
  private async report(
    tx: Tx,
    record: Import,
    lines: readonly LineReport[],
    progress: ImportProgress,
  ): Promise<void> {
    await this.imports.addLines(tx, record, lines);
    if (!(await this.imports.addProgress(tx, record.id, progress))) throw new TakeBack();
  }

  private async *chunks(principal: Principal, importId: string): AsyncGenerator<Buffer> {
    for (let number = 0; ; number++) {
      const bytes = await this.transactions.run(principal, (tx) => this.imports.chunk(tx, importId, number));
      if (bytes === null) return;
      yield bytes;
    }
  }

  private async finish(system: Principal, importId: string, failure: string | null): Promise<void> {
    const state = failure === null ? 'finished' : 'failed';
    const hasEnded = await this.transactions.run(system, async (tx) => {
      const moved = await this.imports.setState(tx, importId, state, failure === null ? {} : { failure });
      await this.imports.removeChunks(tx, importId);
      return moved;
    });
    if (hasEnded) this.metrics.ended(state);
  }
}

const GIVEN_UP =
  'The work on the file failed again and again, for a reason that does not lie in the file. What has been stored ' +
  'stays: once the service is well again, hand the same file over again.';

function isNew({ outcome }: LineReport): boolean {
  return outcome === 'created' || outcome === 'quarantined';
}
