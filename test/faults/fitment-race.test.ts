import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Client } from 'pg';
import { createOrganisation, type NewOrganisation } from '../../src/platform/database/create-organisation';
import {
  startEmbeddedPostgres,
  type EmbeddedPostgres,
} from '../../src/platform/database/embedded-postgres/start-embedded-postgres';
import { ApiProcess, ensureBuilt, freePort } from '../support/api-process';
import { TEST_SECRET } from '../support/test-secret';

jest.setTimeout(300_000);

const ROUNDS = 200;
const SEATS = ['suspension-front-left', 'suspension-front-right', 'suspension-rear-left'];

let folder: string;
let postgres: EmbeddedPostgres;
let apis: ApiProcess[];
let organisation: NewOrganisation;
let fleetId: string;
let depotId: string;
let vehicleIds: [string, string];
let unitTypeId: string;

beforeAll(async () => {
  ensureBuilt();
  folder = mkdtempSync(join(tmpdir(), 'precharge-race-'));
  chmodSync(folder, 0o711); // as root the server runs as another user, who has to pass through
  postgres = await startEmbeddedPostgres({ dataDir: join(folder, 'data'), mode: 'child', durable: false });
  apis = [await startApi('first'), await startApi('second')];
  organisation = await createOrganisation(postgres.url(), 'Tarn Valley');
  fleetId = await created('/v1/fleets', { name: 'Patient transport' });
  depotId = await created('/v1/depots', { fleetId, name: 'Upper Tarn', zone: 'Europe/London' });
  vehicleIds = [await vehicle('TVP 101'), await vehicle('TVP 102')];
  unitTypeId = await created('/v1/gas-unit-types', {
    code: 'front-55',
    name: 'Front suspension unit',
    roles: ['suspension'],
    nominalPrecharge20BarGauge: 55,
    gasVolumeCm3: 400,
    damperIntegral: false,
  });
});
afterAll(async () => {
  for (const api of apis) await api.end('SIGKILL');
  await postgres.stop();
  rmSync(folder, { recursive: true, force: true });
});

async function startApi(name: string): Promise<ApiProcess> {
  const environment = {
    DATABASE_URL: postgres.url(),
    PRECHARGE_SECRET: TEST_SECRET,
    LOG_LEVEL: 'warn',
    REQUESTS_PER_MINUTE: '100000000',
  };
  return ApiProcess.start(environment, await freePort(), join(folder, `${name}.log`));
}

interface Outcome {
  status: number;
  body: {
    id?: string;
    type?: string;
    detail?: string;
    errors?: { pointer?: string; detail: string; remedy: string }[];
  };
}

async function post(api: ApiProcess | undefined, path: string, body: object): Promise<Outcome> {
  const response = await fetch(`${api?.address ?? ''}${path}`, {
    method: 'POST',
    headers: { authorization: `Bearer ${organisation.administratorKey}`, 'content-type': 'application/json' },
    body: JSON.stringify(body),
  });
  return { status: response.status, body: (await response.json()) as Outcome['body'] };
}

async function created(path: string, body: object): Promise<string> {
  const { status, body: answer } = await post(apis[0], path, body);
  if (status !== 201 || answer.id === undefined)
    throw new Error(`${path} answered ${status} ${JSON.stringify(answer)}`);
  return answer.id;
}

const vehicle = (registrationMark: string): Promise<string> =>
  created('/v1/vehicles', { depotId, registrationMark, dutyClass: 'normal', odometerUnit: 'km' });

const unit = (serialNumber: string): Promise<string> =>
  created('/v1/gas-units', {
    fleetId,
    unitTypeId,
    serialNumber,
    place: { state: 'on-the-shelf', depotId, fromAt: '2024-01-01T08:00:00Z' },
  });

async function sql<Row>(text: string, parameters: unknown[] = []): Promise<Row[]> {
  const client = new Client({ connectionString: postgres.url() });
  await client.connect();
  try {
    await client.query(`SELECT set_config('app.organisation_id', $1, false)`, [organisation.organisationId]);
    return (await client.query(text, parameters)).rows as Row[];
  } finally {
    await client.end();
  }
}

interface Placed {
  unitId: string;
  vehicleId: string | null;
  position: string | null;
  fromAt: string;
  untilAt: string | null;
}
const placements = (): Promise<Placed[]> =>
  sql<Placed>(
    `SELECT unit_id AS "unitId", vehicle_id AS "vehicleId", position, from_at::text AS "fromAt",
        until_at::text AS "untilAt" FROM unit_placements ORDER BY unit_id, from_at`,
  );

/** Every unit is in exactly one place now, its periods follow each other, and no position holds two. */
async function expectConsistent(): Promise<void> {
  const rows = await placements();
  const seats = rows.filter(({ vehicleId, untilAt }) => vehicleId !== null && untilAt === null);
  expect(new Set(seats.map(({ vehicleId, position }) => `${vehicleId ?? ''} ${position ?? ''}`)).size).toBe(
    seats.length,
  );
  for (const unitId of new Set(rows.map((row) => row.unitId))) {
    const periods = rows.filter((row) => row.unitId === unitId);
    const ends = periods.map(({ untilAt }) => untilAt);
    expect(ends.at(-1)).toBeNull();
    expect(ends.slice(0, -1)).toEqual(periods.slice(1).map(({ fromAt }) => fromAt));
  }
}

/** A second for every round, so that none is before the one that it follows. */
const secondOf = (round: number): string =>
  new Date(Date.parse('2025-01-01T00:00:00Z') + round * 1000).toISOString();

it(`${ROUNDS} times one unit is fitted to two vehicles at once, by two processes: it sits in one of them`, async () => {
  const contested = await unit('contested');
  const statuses = new Map<string, number>();
  const details = new Set<string>();
  const winners = [0, 0];
  for (let round = 0; round < ROUNDS; round++) {
    const at = secondOf(2 * round);
    const answers = await Promise.all(
      vehicleIds.map((vehicleId, index) =>
        post(apis[index], '/v1/unit-moves', {
          at,
          movedBy: `technician ${index}`,
          moves: [{ gasUnitId: contested, to: { state: 'fitted', vehicleId, position: SEATS[0] } }],
        }),
      ),
    );
    const pair = answers
      .map(({ status }) => status)
      .toSorted()
      .join();
    statuses.set(pair, (statuses.get(pair) ?? 0) + 1);
    const winner = answers.findIndex(({ status }) => status === 201);
    winners[winner] = (winners[winner] ?? 0) + 1;
    for (const { status, body } of answers) {
      if (status === 201) continue;
      expect([body.type, body.errors?.length]).toEqual(['/problems/state-conflict', 1]);
      expect(body.errors?.[0]?.remedy.length).toBeGreaterThan(10);
      details.add((body.detail ?? '').replace(/\d{4}-\S+Z/g, '<moment>').replace(/TVP \d+/, '<vehicle>'));
    }
    const present = (await placements()).filter(({ untilAt }) => untilAt === null);
    expect(present.map(({ vehicleId }) => vehicleId)).toEqual([vehicleIds[winner]]);
    const back = await post(apis[round % 2], '/v1/unit-moves', {
      at: secondOf(2 * round + 1),
      movedBy: 'the test',
      moves: [{ gasUnitId: contested, to: { state: 'on-the-shelf', depotId } }],
    });
    expect(back.status).toBe(201);
  }
  expect(Object.fromEntries(statuses)).toEqual({ '201,409': ROUNDS });
  await expectConsistent();
  console.log(
    `rounds won by the first and the second process: ${winners.join(' and ')}; refusals:\n  ${[...details].join('\n  ')}`,
  );
});

it('exchanges that cross each other in both processes end one way or the other, never in a failure', async () => {
  const [a, b] = vehicleIds;
  const seat = SEATS[1];
  const [one, two] = [await unit('crossing 1'), await unit('crossing 2')];
  const into = (gasUnitId: string, vehicleId: string) => ({
    gasUnitId,
    to: { state: 'fitted', vehicleId, position: seat },
  });
  const first = { at: secondOf(0), movedBy: 'the test', moves: [into(one, a), into(two, b)] };
  expect((await post(apis[0], '/v1/unit-moves', first)).status).toBe(201);
  let exchanged = false;
  for (let round = 1; round <= 50; round++) {
    const moves = exchanged ? [into(one, a), into(two, b)] : [into(one, b), into(two, a)];
    const answers = await Promise.all([
      post(apis[0], '/v1/unit-moves', { at: secondOf(round), movedBy: 'the test', moves }),
      // the same the other way round, so that locks taken as they come would wait for each other
      post(apis[1], '/v1/unit-moves', {
        at: secondOf(round),
        movedBy: 'the test',
        moves: moves.toReversed(),
      }),
    ]);
    expect(answers.map(({ status }) => status).toSorted()).toEqual([201, 409]);
    exchanged = !exchanged;
  }
  await expectConsistent();
});

it('two units for one position at once: one sits there, the other stays where it was', async () => {
  const [vehicleId] = vehicleIds;
  const units = [await unit('rival 1'), await unit('rival 2')];
  for (let round = 0; round < 50; round++) {
    const answers = await Promise.all(
      units.map((gasUnitId, index) =>
        post(apis[index], '/v1/unit-moves', {
          at: secondOf(2 * round),
          movedBy: 'the test',
          moves: [{ gasUnitId, to: { state: 'fitted', vehicleId, position: SEATS[2] } }],
        }),
      ),
    );
    expect(answers.map(({ status }) => status).toSorted()).toEqual([201, 409]);
    const winner = units[answers.findIndex(({ status }) => status === 201)];
    const out = { gasUnitId: winner, to: { state: 'on-the-shelf', depotId } };
    const back = { at: secondOf(2 * round + 1), movedBy: 'the test', moves: [out] };
    expect((await post(apis[0], '/v1/unit-moves', back)).status).toBe(201);
  }
  await expectConsistent();
});
