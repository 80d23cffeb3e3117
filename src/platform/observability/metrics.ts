import { Injectable } from '@nestjs/common';
import type { FastifyInstance } from 'fastify';
import { Counter, Gauge, Histogram, Registry, collectDefaultMetrics } from 'prom-client';

/** What a Prometheus server may collect at `/metrics`: no data of any organisation. */
@Injectable()
export class Metrics {
  readonly registry = new Registry();

  private readonly durations = new Histogram({
    name: 'precharge_http_request_duration_seconds',
    help: 'Time from request to answer',
    labelNames: ['method', 'route', 'status'],
    buckets: [0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10],
    registers: [this.registry],
  });

  readonly recomputedVehicles = new Counter({
    name: 'precharge_recomputed_vehicles_total',
    help: 'Vehicles whose due items were computed again',
    registers: [this.registry],
  });

  readonly sealedAuditEntries = new Counter({
    name: 'precharge_sealed_audit_entries_total',
    help: 'Entries of the audit trail that were appended to the chain of their organisation',
    registers: [this.registry],
  });

  constructor() {
    collectDefaultMetrics({ register: this.registry });
  }

  /** A figure that is looked up when it is collected; null where it cannot be told, which withholds no other. */
  gauge(name: string, help: string, value: () => Promise<number | null>): void {
    new Gauge({
      name,
      help,
      registers: [this.registry],
      collect: async function () {
        const now = await value();
        if (now === null) this.remove();
        else this.set(now);
      },
    });
  }

  observeResponses(fastify: FastifyInstance): void {
    fastify.addHook('onResponse', (request, reply, done) => {
      const route = request.routeOptions.url ?? 'unknown';
      this.durations.observe(
        { method: request.method, route, status: reply.statusCode },
        reply.elapsedTime / 1000,
      );
      done();
    });
  }
}
