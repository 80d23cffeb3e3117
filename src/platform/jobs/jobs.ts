import { setTimeout as sleep } from 'node:timers/promises';
import { Inject, Injectable, type OnApplicationShutdown } from '@nestjs/common';
import { PgBoss } from 'pg-boss';
import type { Logger } from 'pino';
import { isConnectionError } from '../database/connection-errors';
import { DATABASE_URL } from '../database/database.module';
import type { Tx } from '../database/transactions';
import { LOGGER } from '../observability/logging';
import { JOBS_SCHEMA, type JobData, type JobName, type RecurringJob } from './job-queues';

// How often workers say that they live, and how often dead ones are looked for.
const WATCH_SECONDS = 5;
const PAUSE_MS = 500;

/**
 * Background work, queued in the database in the transaction that asks for it: a job exists exactly when
 * what it is about was committed. A job may run more than once; handlers must not mind.
 */
@Injectable()
export class Jobs implements OnApplicationShutdown {
  private readonly boss: PgBoss;
  private started: Promise<unknown> | null = null;

  constructor(
    @Inject(DATABASE_URL) url: string,
    @Inject(LOGGER) private readonly logger: Logger,
  ) {
    this.boss = new PgBoss({
      connectionString: url,
      schema: JOBS_SCHEMA,
      migrate: false,
      createSchema: false,
      reindex: false,
      monitorVacuum: false,
      superviseIntervalSeconds: WATCH_SECONDS,
      monitorIntervalSeconds: WATCH_SECONDS,
      application_name: 'precharge jobs',
      max: 3,
    });
    this.boss.on('error', (error) => logger.warn({ err: error }, 'job queue'));
  }

  async enqueue<N extends JobName>(tx: Tx, name: N, data: JobData[N], startAt?: Date): Promise<void> {
    await this.start();
    await this.boss.send(name, data, {
      ...(startAt === undefined ? {} : { startAfter: startAt }),
      db: { executeSql: async (sql, values) => ({ rows: await tx.query<unknown[]>(sql, values) }) },
    });
  }

  /** Asks for a job of every organisation whenever the cron expression says so, in UTC. */
  async recur(job: RecurringJob, cron: string): Promise<void> {
    const data: JobData['visit-organisations'] = { job };
    await this.insist(() => this.boss.schedule('visit-organisations', cron, data, { key: job }));
  }

  /** Queues a job for each of the organisations that does not wait for one already. */
  async enqueueForEach(job: RecurringJob, organisationIds: readonly string[]): Promise<void> {
    await this.start();
    for (const organisationId of organisationIds) {
      const data: JobData[RecurringJob] = { organisationId };
      await this.boss.send(job, data, { singletonKey: organisationId });
    }
  }

  /** Starts to take jobs of a queue, one at a time. */
  async work<N extends JobName>(name: N, handle: (data: JobData[N]) => Promise<void>): Promise<void> {
    const options = { pollingIntervalSeconds: 0.5, batchSize: 1, heartbeatRefreshSeconds: WATCH_SECONDS };
    await this.insist(() =>
      this.boss.work<JobData[N]>(name, options, async (jobs) => {
        for (const job of jobs) await handle(job.data);
      }),
    );
  }

  async onApplicationShutdown(): Promise<void> {
    if (this.started === null) return;
    await this.started;
    await this.boss.stop({ graceful: true, timeout: 10_000 });
  }

  /** What begins with the process waits for a database that is away meanwhile; a request is told instead. */
  private async insist(step: () => Promise<unknown>): Promise<void> {
    for (;;) {
      try {
        await this.start();
        await step();
        return;
      } catch (error) {
        if (!isConnectionError(error)) throw error;
        this.logger.warn({ err: error }, 'the job queue waits for the database');
        await sleep(PAUSE_MS);
      }
    }
  }

  private async start(): Promise<void> {
    // a start that failed, such as while the database was away, is tried again by whoever comes next
    await (this.started ??= this.boss.start().catch((error: unknown) => {
      this.started = null;
      throw error;
    }));
  }
}
