import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { Client } from 'pg';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import type { ChangeDto, ChangePageDto } from '../../src/modules/changes/dto/change.dto';
import { createOrganisation, type NewOrganisation } from '../../src/platform/database/create-organisation';
import {
  startEmbeddedPostgres,
  type EmbeddedPostgres,
} from '../../src/platform/database/embedded-postgres/start-embedded-postgres';
import { ApiProcess, ensureBuilt, freePort } from '../support/api-process';
import { auditTrailOn } from '../support/audit-trail-on';
import { soakOr } from '../support/soak';
import { TEST_SECRET } from '../support/test-secret';

jest.setTimeout(soakOr(1_800_000, 300_000));

const WRITERS = 8;
const TRANSACTIONS = soakOr(400, 40);
const LONGEST_HOLD_MS = soakOr(5_000, 1_000);
const RESTARTS = soakOr(12, 2);
const VEHICLES = 12;

let folder: string;
let postgres: EmbeddedPostgres;
let api: ApiProcess;
let organisation: NewOrganisation;
let vehicleIds: string[];

// durable, because a crash of the server may not take back what a reader has seen
const startPostgres = (port?: number): Promise<EmbeddedPostgres> =>
  startEmbeddedPostgres({ dataDir: join(folder, 'data'), mode: 'child', durable: true, port });

beforeAll(async () => {
  ensureBuilt();
  folder = mkdtempSync(join(tmpdir(), 'precharge-feed-'));
  chmodSync(folder, 0o711); // as root the server runs as another user, who has to pass through
  postgres = await startPostgres();
  const environment = {
    DATABASE_URL: postgres.url(),
    PRECHARGE_SECRET: TEST_SECRET,
    LOG_LEVEL: 'warn',
    REQUESTS_PER_MINUTE: '100000000',
  };
  api = await ApiProcess.start(environment, await freePort(), join(folder, 'api.log'));
  organisation = await createOrganisation(postgres.url(), 'Tarn Valley Patient Transport');
  const { id: fleetId } = await post('/v1/fleets', { name: 'Patient transport' });
  const { id: depotId } = await post('/v1/depots', { fleetId, name: 'Upper Tarn', zone: 'Europe/London' });
  vehicleIds = [];
  for (let number = 1; number <= VEHICLES; number++) {
    const vehicle = { depotId, registrationMark: `TVP ${number}`, dutyClass: 'normal', odometerUnit: 'km' };
    vehicleIds.push((await post('/v1/vehicles', vehicle)).id);
  }
  vehicleIds.sort();
});
afterAll(async () => {
  await api.end('SIGKILL');
  await postgres.stop();
  rmSync(folder, { recursive: true, force: true });
});

const headers = (): Record<string, string> => ({
  authorization: `Bearer ${organisation.administratorKey}`,
  'content-type': 'application/json',
});

async function post(path: string, body: object): Promise<{ id: string }> {
  const answer = await fetch(api.address + path, {
    method: 'POST',
    headers: headers(),
    body: JSON.stringify(body),
  });
  if (answer.status !== 201) throw new Error(`${path} answered ${answer.status}: ${await answer.text()}`);
  return (await answer.json()) as { id: string };
}

async function connected(): Promise<Client> {
  const client = new Client({ connectionString: postgres.url() });
  // the statement that finds the connection broken says so as well
  client.on('error', () => undefined);
  await client.connect();
  return client;
}

/** Follows the feed all the while, through every failure, with nothing but the last `next` to go on with. */
class Reader {
  readonly read: ChangeDto[] = [];
  failures = 0;
  private next: string | null = null;
  private over = false;
  private emptyPages = 0;

  async follow(): Promise<void> {
    while (!this.over || this.emptyPages < 3) {
      const after = this.next === null ? '' : `&after=${this.next}`;
      const answer = await fetch(`${api.address}/v1/changes?limit=40&wait=1${after}`, { headers: headers() });
      if (answer.status === 503) {
        await answer.text();
        this.failures += 1;
        await sleep(50);
        continue;
      }
      if (answer.status !== 200)
        throw new Error(`the feed answered ${answer.status}: ${await answer.text()}`);
      const { items, next } = (await answer.json()) as ChangePageDto;
      this.read.push(...items);
      this.next = next;
      this.emptyPages = items.length === 0 && this.over ? this.emptyPages + 1 : 0;
    }
  }

  /** Ends when everything that was written by now has been read. */
  finish(): void {
    this.over = true;
  }
}

/** Each of its changes carries how many there were of the vehicle before it, as told under the vehicle's lock. */
async function write(client: Client, random: SeededRandom): Promise<void> {
  const trail = auditTrailOn(client, organisation.organisationId);
  await client.query('BEGIN');
  await client.query('SELECT app.enter($1, NULL)', [organisation.organisationId]);
  const chosen = vehicleIds.filter(() => random.next() < 2 / VEHICLES);
  for (const vehicleId of chosen) {
    await client.query('SELECT id FROM vehicles WHERE id = $1 FOR NO KEY UPDATE', [vehicleId]);
    await sleep(random.integer(0, 20));
    const { rows } = await client.query<{ n: number }>(
      `SELECT count(*)::integer AS n FROM audit_entries WHERE organisation_id = $1 AND vehicle_id = $2`,
      [organisation.organisationId, vehicleId],
    );
    await trail.record({
      subjectType: 'vehicle',
      action: 'changed',
      subjectId: vehicleId,
      vehicleId,
      after: { n: rows[0]?.n },
    });
  }
  if (random.next() < 0.08) await sleep(random.integer(LONGEST_HOLD_MS / 2, LONGEST_HOLD_MS));
  await client.query(random.next() < 0.15 ? 'ROLLBACK' : 'COMMIT');
}

/** Writes until the number of transactions is reached; one that broke off counts, whether it was committed or not. */
async function writeAll(number: number, onTransaction: () => void): Promise<number> {
  const random = new SeededRandom(7_000 + number);
  let broken = 0;
  let client = await connected();
  for (let done = 0; done < TRANSACTIONS; done++) {
    try {
      await write(client, random);
    } catch (error) {
      broken += 1;
      await client.end().catch(() => undefined);
      for (let attempt = 0; ; attempt++) {
        try {
          client = await connected();
          break;
        } catch {
          if (attempt > 600) throw error;
          await sleep(50);
        }
      }
    }
    onTransaction();
  }
  await client.end();
  return broken;
}

interface Recorded {
  id: string;
  vehicleId: string | null;
}

async function committed(): Promise<Recorded[]> {
  const client = await connected();
  const { rows } = await client.query<Recorded>(
    `SELECT id, vehicle_id AS "vehicleId" FROM audit_entries WHERE organisation_id = $1 ORDER BY id`,
    [organisation.organisationId],
  );
  await client.end();
  return rows;
}

/** The set that was read is the set that was committed, each once, and every vehicle's changes in their order. */
async function expectAll({ read }: Reader): Promise<void> {
  const ids = read.map(({ id }) => id);
  expect(new Set(ids).size).toBe(ids.length);
  const recorded = await committed();
  expect([...ids].sort()).toEqual(recorded.map(({ id }) => id).sort());
  for (const vehicleId of vehicleIds) {
    const told = read.filter(({ vehicleid }) => vehicleid === vehicleId);
    expect(told.length).toBeGreaterThan(3);
    // the first one is the creation of the vehicle, which has no number
    expect(told.slice(1).map(({ data }) => data.n)).toEqual(told.slice(1).map((_, index) => index + 1));
  }
}

it(`${WRITERS} writers, some of whom hold their transactions open: everything is read, once and in order`, async () => {
  const reader = new Reader();
  const following = reader.follow();
  let done = 0;
  const broken = await Promise.all(
    Array.from({ length: WRITERS }, (_, number) => writeAll(number, () => (done += 1))),
  );
  reader.finish();
  await following;
  expect([done, ...broken]).toEqual([WRITERS * TRANSACTIONS, ...broken.map(() => 0)]);
  await expectAll(reader);
});

it(`the same while the server is killed ${RESTARTS} times`, async () => {
  const reader = new Reader();
  const following = reader.follow();
  let done = 0;
  const writing = Promise.all(
    Array.from({ length: WRITERS }, (_, number) => writeAll(WRITERS + number, () => (done += 1))),
  );
  for (let restart = 1; restart <= RESTARTS; restart++) {
    while (done < (restart * WRITERS * TRANSACTIONS) / (RESTARTS + 1)) await sleep(20);
    const { port, pid } = postgres;
    process.kill(pid, 'SIGKILL');
    await sleep(200);
    postgres = await startPostgres(port);
  }
  const broken = await writing;
  reader.finish();
  await following;
  expect(broken.reduce((sum, each) => sum + each, 0)).toBeGreaterThan(0);
  await expectAll(reader);
});
