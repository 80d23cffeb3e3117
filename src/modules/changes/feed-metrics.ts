import { Inject, Injectable } from '@nestjs/common';
import type { Logger } from 'pino';
import { Gauge, Histogram } from 'prom-client';
import { ChangeClock } from '../../platform/database/change-clock';
import { LOGGER } from '../../platform/observability/logging';
import { Metrics } from '../../platform/observability/metrics';
import { SettledWatch } from './settled-watch';

type Unsettled = Awaited<ReturnType<ChangeClock['unsettled']>>;

/** How far behind the feed is, and its readers are. */
@Injectable()
export class FeedMetrics {
  private asked: Promise<Unsettled | null> | null = null;
  private readonly readLag: Histogram;

  constructor(
    { registry }: Metrics,
    watch: SettledWatch,
    private readonly clock: ChangeClock,
    @Inject(LOGGER) private readonly logger: Logger,
  ) {
    const gauge = (name: string, help: string, value: () => Promise<number | null>): Gauge =>
      new Gauge({
        name,
        help,
        registers: [registry],
        collect: async function () {
          const now = await value();
          if (now === null) this.remove();
          else this.set(now);
        },
      });
    gauge(
      'precharge_feed_unsettled_events',
      'Events recorded that no reader may see yet, because an older transaction is still open',
      async () => (await this.unsettled())?.events ?? null,
    );
    gauge('precharge_feed_unsettled_seconds', 'Age of the oldest of them; 0 without any', async () => {
      const unsettled = await this.unsettled();
      if (unsettled === null) return null;
      return unsettled.oldestAt === null
        ? 0
        : Math.max(0, (Date.now() - unsettled.oldestAt.getTime()) / 1000);
    });
    gauge('precharge_feed_waiting_reads', 'Requests that wait for changes', () =>
      Promise.resolve(watch.count),
    );
    this.readLag = new Histogram({
      name: 'precharge_feed_read_lag_seconds',
      help: 'Age of the oldest change of a page when it is read',
      buckets: [0.1, 0.5, 1, 5, 30, 60, 300, 3_600, 86_400, 604_800],
      registers: [registry],
    });
  }

  /** Notes a page of changes, oldest first. */
  read([oldest]: readonly { recordedAt: Date }[]): void {
    if (oldest !== undefined)
      this.readLag.observe(Math.max(0, (Date.now() - oldest.recordedAt.getTime()) / 1000));
  }

  // Both figures of one collection come from one look. Without the database there are none, which is no reason to
  // withhold the others.
  private unsettled(): Promise<Unsettled | null> {
    this.asked ??= this.clock
      .unsettled()
      .catch((error: unknown) => {
        this.logger.warn({ err: error }, 'figures of the change feed');
        return null;
      })
      .finally(() => {
        this.asked = null;
      });
    return this.asked;
  }
}
