import { randomUUID } from 'node:crypto';
import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { Client } from 'pg';
import type { ImportDto } from '../../src/modules/imports/dto/import.dto';
import { createOrganisation, type NewOrganisation } from '../../src/platform/database/create-organisation';
import {
  startEmbeddedPostgres,
  type EmbeddedPostgres,
} from '../../src/platform/database/embedded-postgres/start-embedded-postgres';
import { ApiProcess, ensureBuilt, freePort } from '../support/api-process';
import { ImportClient } from '../support/import-client';
import { TEST_SECRET } from '../support/test-secret';

jest.setTimeout(300_000);

/** Far above what is expected, for machines that are busy with something else. */
const PATIENCE_MS = 30_000;

let folder: string;
let postgres: EmbeddedPostgres;
let api: ApiProcess;
let apiPort: number;
let organisation: NewOrganisation;
let depotId: string;

const startPostgres = (port?: number): Promise<EmbeddedPostgres> =>
  startEmbeddedPostgres({ dataDir: join(folder, 'data'), mode: 'child', durable: true, port });

const startApi = (): Promise<ApiProcess> =>
  ApiProcess.start(
    {
      DATABASE_URL: postgres.url(),
      PRECHARGE_SECRET: TEST_SECRET,
      LOG_LEVEL: 'warn',
      REQUESTS_PER_MINUTE: '100000000',
    },
    apiPort,
    join(folder, 'api.log'),
  );

beforeAll(async () => {
  ensureBuilt();
  folder = mkdtempSync(join(tmpdir(), 'precharge-faults-'));
  chmodSync(folder, 0o711); // as root the server runs as another user, who has to pass through
  postgres = await startPostgres();
  apiPort = await freePort();
  api = await startApi();
  organisation = await createOrganisation(postgres.url(), 'Tarn Valley');
  await sql(RULE_FOR_EVERY_VEHICLE, [organisation.organisationId]);
  await sql(
    'UPDATE service_programmes p SET current_version_id = v.id FROM service_programme_versions v WHERE v.programme_id = p.id',
  );
  const fleet = await created('/v1/fleets', { name: 'Patient transport', externalKey: 'F1' });
  depotId = await created('/v1/depots', {
    fleetId: fleet,
    name: 'Upper Tarn',
    externalKey: 'D1',
    zone: 'Europe/London',
  });
});
afterAll(async () => {
  await api.end('SIGKILL');
  await postgres.stop();
  rmSync(folder, { recursive: true, force: true });
});

const RULE_FOR_EVERY_VEHICLE = `
  WITH programme AS (
    INSERT INTO service_programmes (organisation_id, name, origin, origin_note)
      VALUES ($1, 'rules of the test', 'own', 'made for the test') RETURNING id
  ), following AS (
    UPDATE organisations SET default_service_programme_id = (SELECT id FROM programme) WHERE organisation_id = $1
  )
  INSERT INTO service_programme_versions (organisation_id, programme_id, version_number, state, effective_on, rules,
      severity_by_duty_class, published_at, published_by)
    SELECT $1, id, 1, 'published', '2020-01-01', '[{"code":"fluid-change","task":"fluid-change","everyMonths":24,"everyKm":60000}]',
      '{}', now(), 'the test' FROM programme`;

async function sql<Row>(text: string, parameters: unknown[] = []): Promise<Row[]> {
  const client = new Client({ connectionString: postgres.url() });
  await client.connect();
  try {
    return (await client.query(text, parameters)).rows as Row[];
  } finally {
    await client.end();
  }
}

interface Outcome {
  /** 0 where the connection was refused or broke */
  status: number;
  body: { id?: string; type?: string };
  retryAfter: string | null;
  type: string;
  tookMs: number;
}

async function call(
  method: string,
  path: string,
  body?: object,
  headers: Record<string, string> = {},
): Promise<Outcome> {
  const started = performance.now();
  const tookMs = (): number => performance.now() - started;
  try {
    const response = await fetch(api.address + path, {
      method,
      headers: {
        authorization: `Bearer ${organisation.administratorKey}`,
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
        ...headers,
      },
      body: body === undefined ? undefined : JSON.stringify(body),
    });
    return {
      status: response.status,
      body: (await response.json()) as Outcome['body'],
      retryAfter: response.headers.get('retry-after'),
      type: response.headers.get('content-type') ?? '',
      tookMs: tookMs(),
    };
  } catch (error) {
    // what a client sees when the process is not there, or goes in the middle
    if ((error as Error).name !== 'TypeError') throw error;
    return { status: 0, body: {}, retryAfter: null, type: '', tookMs: tookMs() };
  }
}

async function created(path: string, body: object): Promise<string> {
  const { status, body: answer } = await call('POST', path, body);
  if (status !== 201 || answer.id === undefined)
    throw new Error(`${path} answered ${status} ${JSON.stringify(answer)}`);
  return answer.id;
}

interface NewVehicle {
  key: string;
  externalKey: string;
}

const newVehicle = (group: string, number: number): NewVehicle => ({
  key: randomUUID(),
  externalKey: `${group}${number}`,
});

const post = ({ key, externalKey }: NewVehicle): Promise<Outcome> =>
  call(
    'POST',
    '/v1/vehicles',
    {
      depotId,
      externalKey,
      registrationMark: externalKey,
      dutyClass: 'standard',
      odometerUnit: 'km',
      inServiceOn: '2024-02-29',
    },
    { 'idempotency-key': key },
  );

/** What is on file of the vehicles of a group: a whole one has its due item, its audit entry and its answer. */
async function onFile(group: string): Promise<{ externalKey: string; id: string; parts: number[] }[]> {
  return sql(
    `SELECT v.external_key AS "externalKey", v.id, ARRAY[
        (SELECT count(*) FROM due_items i WHERE i.vehicle_id = v.id),
        (SELECT count(*) FROM audit_entries a WHERE a.subject_id = v.id AND a.action = 'created'),
        (SELECT count(*) FROM idempotency_records r WHERE r.response->>'id' = v.id::text)]::integer[] AS parts
      FROM vehicles v WHERE v.external_key LIKE $1 ORDER BY v.id`,
    [`${group}%`],
  );
}

/** Repeats what was not acknowledged, with the same keys, and expects each vehicle exactly once and whole. */
async function expectEachOnce(group: string, sent: Map<NewVehicle, Outcome | undefined>): Promise<void> {
  const acknowledged = new Map<string, string>();
  for (const [vehicle, outcome] of sent) {
    const final = outcome?.status === 201 ? outcome : await post(vehicle);
    expect([vehicle.externalKey, final.status]).toEqual([vehicle.externalKey, 201]);
    acknowledged.set(vehicle.externalKey, final.body.id!);
  }
  const stored = await onFile(group);
  expect(new Map(stored.map(({ externalKey, id }) => [externalKey, id]))).toEqual(acknowledged);
  expect(stored.length).toBe(sent.size);
  expect(stored.filter(({ parts }) => parts.join() !== '1,1,1')).toEqual([]);
}

async function untilTrue(condition: () => Promise<boolean>): Promise<void> {
  for (const deadline = Date.now() + 4 * PATIENCE_MS; Date.now() < deadline;) {
    if (await condition()) return;
    await sleep(20);
  }
  throw new Error(`what the test waits for did not happen; the API wrote:\n${api.log().slice(-4_000)}`);
}

describe('Postgres away for ten seconds', () => {
  it('is answered with 503 and Retry-After; the process stays and goes on by itself', async () => {
    const sent = new Map<NewVehicle, Outcome | undefined>();
    const live: number[] = [];
    let away = false;
    let over = false;
    const during: Outcome[] = [];
    const ready: Outcome[] = [];
    // callers that never pause: some are in the middle of a transaction when the server goes
    const writers = [0, 1, 2, 3].map(async (writer) => {
      for (let number = 0; !over; number++) {
        const vehicle = newVehicle(`away-${writer}-`, number);
        const startedAway = away;
        const outcome = await post(vehicle);
        sent.set(vehicle, outcome);
        if (startedAway && outcome.status !== 201) during.push(outcome);
        if (outcome.status !== 201) await sleep(250);
      }
    });
    await untilTrue(() => Promise.resolve(sent.size >= 20));

    await postgres.stop();
    away = true;
    for (const until = Date.now() + 10_000; Date.now() < until;) {
      await sleep(250);
      live.push((await call('GET', '/health/live')).status);
      ready.push(await call('GET', '/health/ready'));
      during.push(await call('GET', '/v1/vehicles'));
      during.push(await call('GET', `/v1/vehicles/${randomUUID()}/due-items`));
      // a key that nobody has asked for lately has to be looked up, which cannot be done now
      const unknown = `pk_${'A'.repeat(43)}_${randomUUID().replaceAll('-', '').padEnd(43, 'x')}`;
      during.push(await call('GET', '/v1/vehicles', undefined, { authorization: `Bearer ${unknown}` }));
    }
    expect(new Set(live)).toEqual(new Set([200]));
    expect(new Set(ready.map(({ status }) => status))).toEqual(new Set([503]));

    away = false;
    postgres = await startPostgres(postgres.port);
    await untilTrue(async () => (await call('GET', '/health/ready')).status === 200);
    expect((await call('GET', '/v1/vehicles')).status).toBe(200);
    over = true;
    await Promise.all(writers);

    expect(during.length).toBeGreaterThan(50);
    for (const { status, body, retryAfter, type, tookMs } of [...during, ...ready]) {
      expect([status, body.type, type]).toEqual([
        503,
        '/problems/unavailable',
        'application/problem+json; charset=utf-8',
      ]);
      expect(Number(retryAfter)).toBeGreaterThan(0);
      expect(tookMs).toBeLessThan(PATIENCE_MS);
    }
    expect(api.isAlive()).toBe(true);
    const statuses = new Set([...sent.values()].map((outcome) => outcome?.status));
    expect([...statuses].sort()).toEqual([201, 503]);
    await expectEachOnce('away-', sent);
  });

  it('leaves background work able to go on', async () => {
    const files = new ImportClient(api.address, organisation.administratorKey);
    const done = await files.run(
      'vehicles',
      'externalKey,depotKey,registrationMark,dutyClass,odometerUnit\nafter-1,D1,A 1,standard,km\n',
    );
    expect(done).toMatchObject({ state: 'finished', linesCreated: 1 });
  });
});

describe('the process killed (kill -9)', () => {
  it('keeps every write that it acknowledged, and none half', async () => {
    const sent = new Map<NewVehicle, Outcome | undefined>();
    let acknowledged = 0;
    let killed = false;
    const writers = Array.from({ length: 8 }, async (_, writer) => {
      for (let number = 0; !killed; number++) {
        const vehicle = newVehicle(`kill-${writer}-`, number);
        sent.set(vehicle, undefined);
        const outcome = await post(vehicle);
        sent.set(vehicle, outcome);
        if (outcome.status === 201) acknowledged += 1;
      }
    });
    await untilTrue(() => Promise.resolve(acknowledged >= 60));
    const death = api.end('SIGKILL');
    killed = true;
    expect(await death).toBe('SIGKILL');
    await Promise.all(writers);

    const broken = [...sent.values()].filter((outcome) => outcome?.status !== 201);
    expect(broken.length).toBeGreaterThan(0);
    expect(broken.map((outcome) => outcome?.status)).toEqual(broken.map(() => 0));
    // before anybody repeats anything
    const stored = await onFile('kill-');
    const ids = new Set(stored.map(({ id }) => id));
    for (const outcome of sent.values()) if (outcome?.status === 201) expect(ids).toContain(outcome.body.id);
    expect(stored.filter(({ parts }) => parts.join() !== '1,1,1')).toEqual([]);

    api = await startApi();
    await expectEachOnce('kill-', sent);
  });
});

describe('an import under way', () => {
  const VEHICLES = 40;
  let files: ImportClient;
  beforeAll(async () => {
    files = new ImportClient(api.address, organisation.administratorKey);
    const lines = Array.from({ length: VEHICLES }, (_, n) => `I${n},D1,I ${n},standard,km`);
    await files.run(
      'vehicles',
      ['externalKey,depotKey,registrationMark,dutyClass,odometerUnit', ...lines, ''].join('\n'),
    );
  });

  // a reading a day for every vehicle
  const readingsFrom = (startOn: string, lineCount: number): string => {
    const start = Date.parse(`${startOn}T08:00:00Z`);
    const line = (n: number): string => {
      const day = Math.floor(n / VEHICLES);
      return `I${n % VEHICLES},${new Date(start + day * 86_400_000).toISOString()},telematics,${1000 + day * 40},km`;
    };
    return [
      'vehicleKey,readAt,source,value,unit',
      ...Array.from({ length: lineCount }, (_, n) => line(n)),
      '',
    ].join('\n');
  };

  async function startHalf(file: string): Promise<string> {
    const { id } = await files.start('odometer-readings', file);
    await untilTrue(async () => (await files.json<ImportDto>(`/v1/imports/${id}`)).linesRead > 0);
    return id;
  }

  async function expectEachLineOnce(id: string, lineCount: number): Promise<void> {
    const done = await files.ended(id);
    expect(done).toMatchObject({
      state: 'finished',
      failure: null,
      linesCreated: lineCount,
      linesRejected: 0,
      linesUnchanged: 0,
    });
    const numbers = (await files.lines(id)).map(({ lineNumber }) => lineNumber);
    expect(numbers).toEqual(Array.from({ length: lineCount }, (_, n) => n + 2));
  }

  const readingsOnFile = async (): Promise<number> => (await sql('SELECT FROM odometer_readings')).length;

  it('is finished by the next process when its own is killed, each line once', async () => {
    const LINES = 4_000;
    const id = await startHalf(readingsFrom('2025-01-01', LINES));
    await api.end('SIGKILL');
    const half = await readingsOnFile();
    expect(half).toBeGreaterThan(0);
    expect(half).toBeLessThan(LINES);

    api = await startApi();
    // nobody else works meanwhile: the job is missed after twenty seconds without a sign of life
    await untilTrue(async () => (await readingsOnFile()) > half);
    await expectEachLineOnce(id, LINES);
    expect(await readingsOnFile()).toBe(LINES);
  });

  it('asked to leave (SIGTERM), the process answers what it began, and the rest goes on in the next one', async () => {
    const LINES = 3_000;
    const before = await readingsOnFile();
    const fleet = await call('GET', '/v1/fleets');
    const fleetId = (fleet.body as unknown as { items: { id: string }[] }).items[0]!.id;
    const id = await startHalf(readingsFrom('2025-08-01', LINES));

    // a change that has to wait for somebody else is under way when the signal comes
    const holder = new Client({ connectionString: postgres.url() });
    await holder.connect();
    await holder.query('BEGIN');
    await holder.query('SELECT FROM fleets WHERE id = $1 FOR UPDATE', [fleetId]);
    const change = call('PATCH', `/v1/fleets/${fleetId}`, { name: 'Renamed' }, { 'if-match': '"r1"' });
    await untilTrue(async () => {
      const waiting = await sql(
        `SELECT FROM pg_stat_activity WHERE wait_event_type = 'Lock' AND query LIKE '%fleets%'`,
      );
      return waiting.length > 0;
    });
    const end = api.end('SIGTERM');
    await sleep(500);
    expect(api.isAlive()).toBe(true);
    await holder.query('COMMIT');
    await holder.end();
    expect(await change).toMatchObject({ status: 200, body: { name: 'Renamed', revision: 2 } });
    expect(await end).toBe(0);
    expect(await call('GET', '/health/live')).toMatchObject({ status: 0 });

    api = await startApi();
    await expectEachLineOnce(id, LINES);
    expect(await readingsOnFile()).toBe(before + LINES);
  });
});
