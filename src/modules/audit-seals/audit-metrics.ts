import { Inject, Injectable } from '@nestjs/common';
import type { Logger } from 'pino';
import { AuditBacklog } from '../../platform/database/audit-backlog';
import { LOGGER } from '../../platform/observability/logging';
import { Metrics } from '../../platform/observability/metrics';

/** Tells of entries that stay unsealed: no worker runs, or something holds it up. */
@Injectable()
export class AuditMetrics {
  constructor(
    metrics: Metrics,
    private readonly backlog: AuditBacklog,
    @Inject(LOGGER) private readonly logger: Logger,
  ) {
    metrics.gauge(
      'precharge_audit_unsealed_seconds',
      'Age of the oldest entry of an audit trail that is not sealed yet; 0 without any',
      () => this.oldestSeconds(),
    );
  }

  private async oldestSeconds(): Promise<number | null> {
    try {
      const { oldestAt } = await this.backlog.unsealed();
      return oldestAt === null ? 0 : Math.max(0, (Date.now() - oldestAt.getTime()) / 1000);
    } catch (error) {
      this.logger.warn({ err: error }, 'figures of the audit trail');
      return null;
    }
  }
}
