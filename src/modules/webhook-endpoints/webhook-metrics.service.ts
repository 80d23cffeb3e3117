import { Injectable } from '@nestjs/common';
import { Counter, Gauge } from 'prom-client';
import { Turns } from '../../platform/database/turns';
import { Metrics } from '../../platform/observability/metrics';
import type { Verdict } from './verdict';

/** What a Prometheus server may know of webhooks: numbers over all organisations. */
@Injectable()
export class WebhookMetricsService {
  private readonly attempts: Counter;

  constructor({ registry }: Metrics, turns: Turns) {
    this.attempts = new Counter({
      name: 'precharge_webhook_attempts_total',
      help: 'Attempts of this process to deliver a webhook message, by what came of them',
      labelNames: ['outcome'],
      registers: [registry],
    });
    for (const outcome of ['delivered', 'failed', 'gone'] as const) this.attempts.inc({ outcome }, 0);
    const waiting = new Gauge({
      name: 'precharge_webhook_deliveries_waiting',
      help: 'Deliveries that wait, in all processes together, as of the last turn of each endpoint; NaN while unknown',
      registers: [registry],
      collect: async () => {
        // the other figures are to be had while the database is away
        waiting.set(await turns.waiting('webhook-endpoint').catch(() => NaN));
      },
    });
  }

  attempted(outcome: Verdict['kind']): void {
    this.attempts.inc({ outcome });
  }
}
