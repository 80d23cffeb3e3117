import { once } from 'node:events';
import { createServer, request, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import { Client } from 'pg';
import { createOrganisation } from '../../src/platform/database/create-organisation';
import { openDatabase } from '../../src/platform/database/open-database';
import { BENCH_SECRET, startApi, startBenchPostgres } from './bench-server';
import { median, type Figure } from './figures';

const ROUNDS = 3;
const API_PORT = 3957;
const VEHICLES = 400;
const EVENTS = 4_000;
/** what the courier has on its way to one endpoint at most */
const AT_ONCE = 8;

/** How many webhooks a second reach one receiver, against signed-nowhere bare messages over connections of their own. */
export async function benchWebhooks(): Promise<Figure[]> {
  const receiver = await Receiver.start();
  const postgres = await startBenchPostgres();
  try {
    const database = await openDatabase(postgres.url(), BENCH_SECRET, null);
    const { organisationId, administratorKey } = await createOrganisation(database.ownerUrl, 'Webhooks');
    const api = await startApi(database.ownerUrl, API_PORT, { WEBHOOK_TO_LOOPBACK: 'true' });
    try {
      await openEndpoint(api.address, administratorKey, receiver.url);
      const ours: number[] = [];
      const bare: number[] = [];
      for (let round = -1; round < ROUNDS; round++) {
        const rate = await receiver.rateOf(() => recordEvents(database.ownerUrl, organisationId));
        const bareRate = await receiver.rateOf(() => sendBare(receiver.url));
        if (round < 0) continue; // the first round only warms up
        ours.push(rate);
        bare.push(bareRate);
      }
      return [
        {
          key: 'webhook_deliveries_per_s',
          value: median(ours),
          unit: '/s',
          comparison: `${EVENTS} events of ${VEHICLES} vehicles in order to one receiver, ${AT_ONCE} at once; bare messages ${median(bare).toFixed(0)}/s`,
        },
      ];
    } finally {
      await api.stop();
    }
  } finally {
    await postgres.remove();
    receiver.stop();
  }
}

/** Takes everything at once, and tells how quickly it comes. */
class Receiver {
  private count = 0;
  private firstAt = 0;
  private done: () => void = () => undefined;

  private constructor(private readonly server: Server) {
    server.on('request', (incoming, response) => {
      const chunks: Buffer[] = [];
      incoming.on('data', (chunk: Buffer) => chunks.push(chunk));
      incoming.on('end', () => {
        const event = JSON.parse(Buffer.concat(chunks).toString()) as {
          type: string;
          data: { challenge?: string };
        };
        if (event.type === 'webhook.consent') {
          response.end(JSON.stringify({ challenge: event.data.challenge }));
          return;
        }
        response.writeHead(204).end();
        if (event.type !== 'vehicle.changed') return;
        if (this.count === 0) this.firstAt = performance.now();
        this.count += 1;
        if (this.count === EVENTS) this.done();
      });
    });
  }

  static async start(): Promise<Receiver> {
    const server = createServer().listen(0, '127.0.0.1');
    await once(server, 'listening');
    return new Receiver(server);
  }

  get url(): string {
    return `http://127.0.0.1:${(this.server.address() as AddressInfo).port}/in`;
  }

  /** From the first to the last message. */
  async rateOf(cause: () => Promise<void>): Promise<number> {
    this.count = 0;
    const all = new Promise<void>((resolve) => (this.done = resolve));
    await cause();
    await all;
    return (EVENTS - 1) / ((performance.now() - this.firstAt) / 1000);
  }

  stop(): void {
    this.server.closeAllConnections();
    this.server.close();
  }
}

async function openEndpoint(address: string, key: string, url: string): Promise<void> {
  const headers = { authorization: `Bearer ${key}`, 'content-type': 'application/json' };
  const endpoints = `${address}/v1/webhook-endpoints`;
  const made = await fetch(endpoints, { method: 'POST', headers, body: JSON.stringify({ url }) });
  const { id } = (await made.json()) as { id: string };
  for (;;) {
    const { state } = (await (await fetch(`${endpoints}/${id}`, { headers })).json()) as { state: string };
    if (state === 'active') return;
    await sleep(50);
  }
}

/** Written straight into the table, a vehicle's one after the other, each as large as a real one. */
async function recordEvents(ownerUrl: string, organisationId: string): Promise<void> {
  const client = new Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await client.query(`SELECT set_config('app.organisation_id', $1, false)`, [organisationId]);
    await client.query(
      `INSERT INTO events (organisation_id, type, subject_type, subject_id, vehicle_id, data)
        SELECT $1, 'vehicle.changed', 'vehicle', vehicle, vehicle, jsonb_build_object('note', repeat('x', 1000))
          FROM generate_series(1, $2::int) n,
            LATERAL (SELECT lpad((n % $3::int)::text, 32, '0')::uuid AS vehicle) v ORDER BY n`,
      [organisationId, EVENTS, VEHICLES],
    );
  } finally {
    await client.end();
  }
}

async function sendBare(url: string): Promise<void> {
  const body = JSON.stringify({ type: 'vehicle.changed', data: { note: 'x'.repeat(1_000) } });
  let next = 0;
  const send = (): Promise<void> =>
    new Promise((resolve, reject) => {
      const sent = request(url, { method: 'POST', agent: false }, (response) => {
        response.resume().on('end', resolve);
      });
      sent.on('error', reject).end(body);
    });
  await Promise.all(
    Array.from({ length: AT_ONCE }, async () => {
      while (next++ < EVENTS) await send();
    }),
  );
}
