import { ImportRunnerService } from '../../src/modules/imports/import-runner.service';
import { importKindNames, type ImportKindName } from '../../src/modules/imports/import-kind';
import { recordsDigest } from '../support/organisation-digest';
import { guardedOperationsOf, readContract } from '../support/contract-check';
import { send, type Message } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';
import { buildWorld, type World } from '../support/world';

// What one system gives out another one takes in: the files of the exports are files of the imports.

interface Counts {
  id: string;
  state: string;
  failure: string | null;
  linesCreated: number;
  linesUpdated: number;
  linesUnchanged: number;
  linesRejected: number;
}

// Records of places and bookings come out by their own lists, not yet in the form of the files that bring them in.
const NOT_EXPORTED: readonly ImportKindName[] = [
  'fleets',
  'depots',
  'workshops',
  'rosters',
  'blackout-periods',
  'system-tests',
  'bookings',
];
const exportedKinds = importKindNames.filter((kind) => !NOT_EXPORTED.includes(kind));

let test: TestApp;
let mine: World;
let theirs: World;

async function ask<T>(method: string, path: string, world: World, message: Message = {}): Promise<T> {
  const answer = await send(test, method, path, { key: world.keys.administrator, ...message });
  if (answer.status >= 300)
    throw new Error(`${method} ${path} was answered ${answer.status}: ${answer.text}`);
  return answer.body as T;
}

async function exported(kind: ImportKindName, world: World, query = ''): Promise<string> {
  const headers = { accept: 'text/csv' };
  const { status, text } = await send(test, 'GET', `/v1/exports/${kind}${query}`, {
    key: world.keys.administrator,
    headers,
  });
  expect(status).toBe(200);
  return text;
}

async function imported(kind: ImportKindName, file: string, world: World): Promise<Counts> {
  const { id } = await ask<Counts>('POST', `/v1/imports?kind=${kind}`, world, {
    body: file,
    headers: { 'content-type': 'text/csv' },
  });
  await test.app.get(ImportRunnerService).run(world.organisation.organisationId, id);
  const counts = await ask<Counts>('GET', `/v1/imports/${id}`, world);
  const { items } = await ask<{ items: unknown[] }>('GET', `/v1/imports/${id}/lines?outcome=rejected`, world);
  expect([kind, items]).toEqual([kind, []]);
  return counts;
}

// texts that a spreadsheet, a separator or a line end could spoil
const TEXTS = ['=1+1', '-2+3', '-5', '@home', '+44 1', "'twas dry", 'one\nother', 'a, "b"; c', 'Zoë — 泵'];

beforeAll(async () => {
  test = await startTestApp({ requestsPerMinute: 10_000_000 });
  mine = await buildWorld(test, 'Tarn Valley Patient Transport');
  theirs = await buildWorld(test, 'Another operator');
  for (const world of [mine, theirs]) {
    for (const [n, reason] of TEXTS.entries()) {
      await ask('POST', `/v1/vehicles/${world.ids.vehicleId ?? ''}/off-road-periods`, world, {
        body: { fromOn: `2024-03-${10 + n}`, untilOn: `2024-03-${11 + n}`, reason, externalKey: `text ${n}` },
      });
    }
    const path = `/v1/vehicles/${world.ids.vehicleId ?? ''}/hydraulic-system`;
    const { headers, body } = await send(test, 'GET', path, { key: world.keys.administrator });
    const seen = { seenBy: 'technician T07', seenOn: '2026-11-20', how: 'on the ramp, "pipes" followed' };
    await ask('PUT', path, world, {
      headers: { 'if-match': headers.etag ?? '' },
      body: {
        pumpKind: 'split',
        antiSinkValves: 'fitted',
        rearBrakeAccumulator: body.rearBrakeAccumulator,
        steeringSupply: 'unverified',
        steeringRegulator: 'unverified',
        evidence: { antiSinkValves: seen, pumpKind: seen },
      },
    });
  }
});
afterAll(() => test.close());

it('there is an export for every kind of file about vehicles and units, and for no other', () => {
  const kinds = guardedOperationsOf(readContract()).flatMap(
    ({ path }) => /^\/v1\/exports\/([\w-]+)$/.exec(path)?.[1] ?? [],
  );
  expect(kinds.sort()).toEqual([...exportedKinds].sort());
});

describe.each(exportedKinds)('%s', (kind) => {
  it('are unchanged when they come back, and as well where the same records are in another system', async () => {
    const file = await exported(kind, mine);
    const lines = Number(
      (
        await send(test, 'GET', `/v1/exports/${kind}`, {
          key: mine.keys.administrator,
          headers: { accept: 'application/x-ndjson' },
        })
      ).headers['record-count'],
    );
    expect(lines).toBeGreaterThanOrEqual(2);
    for (const world of [mine, theirs]) {
      const before = await recordsDigest(test, world.organisation.organisationId);
      expect(await imported(kind, file, world)).toMatchObject({
        state: 'finished',
        failure: null,
        linesCreated: 0,
        linesUpdated: 0,
        linesUnchanged: lines,
        linesRejected: 0,
      });
      expect(await recordsDigest(test, world.organisation.organisationId)).toEqual(before);
    }
  });

  it('are those of one fleet where that is asked for', async () => {
    const records = (text: string): number => text.split('\r\n').length - 2;
    const all = records(await exported(kind, theirs));
    const ofFleets = await Promise.all(
      [theirs.ids.fleetId, theirs.otherFleet.id].map((id) => exported(kind, theirs, `?fleetId=${id ?? ''}`)),
    );
    expect(ofFleets.map(records).reduce((sum, count) => sum + count)).toBe(all);
  });
});

it('records without a key of the operator are left out, because a file could not name them', async () => {
  const { depotId = '' } = mine.ids;
  const { id } = await ask<{ id: string }>('POST', '/v1/vehicles', mine, {
    body: { depotId, registrationMark: 'NO KEY 1', dutyClass: 'normal', odometerUnit: 'km' },
  });
  await ask('POST', `/v1/vehicles/${id}/off-road-periods`, mine, {
    body: { fromOn: '2026-07-01', untilOn: '2026-07-02', reason: 'of a vehicle without a key' },
  });
  expect(await exported('vehicles', mine)).not.toContain('NO KEY 1');
  expect(await exported('off-road-periods', mine)).not.toContain('of a vehicle without a key');
});
