import { Inject, Injectable } from '@nestjs/common';
import type { Logger } from 'pino';
import { Counter } from 'prom-client';
import { ImportBacklog } from '../../platform/database/import-backlog';
import { LOGGER } from '../../platform/observability/logging';
import { Metrics } from '../../platform/observability/metrics';
import type { ImportProgress } from './imports.repository';

/** How much is imported and how it ends, for whoever runs the service. */
@Injectable()
export class ImportMetrics {
  private readonly lines: Counter<'outcome'>;
  private readonly imports: Counter<'state'>;

  constructor(
    metrics: Metrics,
    private readonly backlog: ImportBacklog,
    @Inject(LOGGER) private readonly logger: Logger,
  ) {
    const { registry } = metrics;
    metrics.gauge('precharge_imports_running', 'Imports that are being worked on', () =>
      this.figure(({ running }) => running),
    );
    metrics.gauge('precharge_imports_waiting', 'Imports that wait for their turn', () =>
      this.figure(({ waiting }) => waiting),
    );
    metrics.gauge(
      'precharge_import_oldest_seconds',
      'Age of the oldest import that has not come to its end; 0 without any',
      () =>
        this.figure(({ oldestAt }) =>
          oldestAt === null ? 0 : Math.max(0, (Date.now() - oldestAt.getTime()) / 1000),
        ),
    );
    this.lines = new Counter({
      name: 'precharge_import_lines_total',
      help: 'Lines of imported files that have been worked through, dry runs aside',
      labelNames: ['outcome'],
      registers: [registry],
    });
    this.imports = new Counter({
      name: 'precharge_imports_ended_total',
      help: 'Imports that came to their end in this process, or were cancelled',
      labelNames: ['state'],
      registers: [registry],
    });
  }

  count({ linesCreated, linesUpdated, linesUnchanged, linesRejected }: ImportProgress): void {
    this.lines.inc({ outcome: 'created' }, linesCreated);
    this.lines.inc({ outcome: 'updated' }, linesUpdated);
    this.lines.inc({ outcome: 'unchanged' }, linesUnchanged);
    this.lines.inc({ outcome: 'rejected' }, linesRejected);
  }

  ended(state: 'finished' | 'failed' | 'cancelled'): void {
    this.imports.inc({ state });
  }

  private async figure(
    of: (open: Awaited<ReturnType<ImportBacklog['open']>>) => number,
  ): Promise<number | null> {
    try {
      return of(await this.backlog.open());
    } catch (error) {
      this.logger.warn({ err: error }, 'figures of imports');
      return null;
    }
  }
}
