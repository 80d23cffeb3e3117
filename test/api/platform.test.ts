import { randomUUID } from 'node:crypto';
import { once } from 'node:events';
import { connect, type AddressInfo } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import LinkHeader from 'http-link-header';
import { Client } from 'pg';
import { QueryFailedError } from 'typeorm';
import { EventRetentionService } from '../../src/modules/changes/event-retention.service';
import { FleetsService } from '../../src/modules/fleets/fleets.service';
import type { ErrorCode } from '../../src/platform/errors/error-codes';
import { problemTable } from '../../src/platform/http/problem-table';
import { parseApiKey } from '../../src/platform/security/api-key-token';
import type { NewOrganisation } from '../../src/platform/database/create-organisation';
import { startWork } from '../../src/work';
import { addKey, asOwner } from '../support/api-client';
import { CuttableProxy } from '../support/cuttable-proxy';
import { UUID } from '../support/organisation-digest';
import { guardedOperationsOf, operationsOf, readContract } from '../support/contract-check';
import { bodySchemaOf } from '../support/contract-schemas';
import { tokenOf, type HeldClient } from '../support/oauth-client';
import { acceptInvitation, invitePerson, PASSWORD, sessionIn, signedInPerson } from '../support/people';
import { send, type Message, type Sent } from '../support/send';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';

const BODY_LIMIT = 16_384;
const PLENTY = 10_000_000;

const log: string[] = [];
let test: TestApp;
let organisation: NewOrganisation;
let key: string;
let technician: string;
let fleetId: string;
let depotId: string;
let vehicleId: string;

beforeAll(async () => {
  test = await startTestApp(
    { requestsPerMinute: PLENTY, bodyLimitBytes: BODY_LIMIT, logLevel: 'trace' },
    { log: { write: (line: string) => log.push(line) } },
  );
  organisation = await test.organisation('Tarn Valley Patient Transport');
  key = organisation.administratorKey;
  technician = await addKey(test, organisation, 'technician');
  fleetId = await added('/v1/fleets', { name: 'Patient transport' });
  depotId = await added('/v1/depots', { fleetId, name: 'Upper Tarn', zone: 'Europe/London' });
  vehicleId = await added('/v1/vehicles', { depotId, ...VEHICLE, registrationMark: 'TVP 101' });
});
afterAll(() => test.close());
afterEach(() => jest.restoreAllMocks());

const VEHICLE = { dutyClass: 'normal', odometerUnit: 'km' };

const ask = (method: string, url: string, message: Message = {}): Promise<Sent> =>
  send(test, method, url, { key, ...message });

async function added(url: string, body: object): Promise<string> {
  const answer = await ask('POST', url, { body });
  if (answer.status !== 201) throw new Error(answer.text);
  return String(answer.body.id);
}

const countFleets = async (name: string): Promise<number> =>
  (
    await asOwner(
      test,
      organisation.organisationId,
      'SELECT FROM fleets WHERE organisation_id = $1 AND name = $2',
      [organisation.organisationId, name],
    )
  ).length;

const parametersOf = ({ body }: Sent): unknown[] =>
  ((body.errors ?? []) as { parameter?: string }[]).map(({ parameter }) => parameter);

/** Holds the lock that stands for a request whose first try is still running. */
async function whileRunning<T>(idempotencyKey: string, work: () => Promise<T>): Promise<T> {
  const client = new Client({ connectionString: test.database.ownerUrl });
  await client.connect();
  try {
    await client.query('SELECT pg_advisory_lock(hashtextextended($1, 0))', [
      `${organisation.organisationId} ${parseApiKey(key)?.apiKeyId ?? ''} ${idempotencyKey}`,
    ]);
    return await work();
  } finally {
    await client.end();
  }
}

/** An application of its own, for what would disturb the others. */
async function beside<T>(
  settings: Parameters<typeof startTestApp>[0],
  work: (app: TestApp) => Promise<T>,
): Promise<T> {
  const app = await startTestApp(settings, { beside: test });
  try {
    return await work(app);
  } finally {
    await app.close();
  }
}

const withoutDatabase = async (
  work: (app: TestApp, proxy: CuttableProxy) => Promise<void>,
): Promise<void> => {
  const proxy = await CuttableProxy.to(test.database.appUrl);
  const app = await startTestApp(
    // as many as the others: they draw from one allowance
    { requestsPerMinute: PLENTY },
    { beside: test, reach: (url) => proxy.reach(url) },
  );
  try {
    await work(app, proxy);
  } finally {
    await app.close();
    await proxy.close();
  }
};

describe('every kind of problem', () => {
  const duplicate = { name: 'Night service', externalKey: 'night' };
  const idempotent = (name: string): Message => ({
    headers: { 'idempotency-key': `key of ${name}`.replaceAll(' ', '-') },
    body: { name },
  });

  // exhaustive by type: a new kind does not compile without a way to provoke it
  const provocations: Record<ErrorCode, () => Promise<Sent>> = {
    'malformed-request': () => ask('POST', '/v1/fleets', { body: '{"name":' }),
    'authentication-required': () => send(test, 'GET', '/v1/fleets'),
    'key-not-valid': () => send(test, 'GET', '/v1/fleets', { key: 'pk_garbage' }),
    'token-not-valid': () => send(test, 'GET', '/v1/fleets', { key: 'not.a.token' }),
    'session-not-valid': () => send(test, 'GET', '/v1/fleets', { key: 'ps_garbage' }),
    'sign-in-refused': () =>
      send(test, 'POST', '/v1/sessions', {
        body: { email: 'nobody@tarn-valley.example', password: PASSWORD },
      }),
    'invitation-not-valid': () => acceptInvitation(test, 'pi_garbage'),
    'request-from-elsewhere': async () => {
      const { session } = await signedInPerson(test, key, { role: 'administrator' });
      const headers = { 'sec-fetch-site': 'cross-site' };
      return send(test, 'POST', '/v1/fleets', { key: session, headers, body: { name: 'Theirs' } });
    },
    'organisation-to-choose': async () => {
      const email = 'everywhere@tarn-valley.example';
      const { administratorKey } = await test.organisation('Second organisation');
      await signedInPerson(test, key, { email });
      await signedInPerson(test, administratorKey, { email });
      return send(test, 'POST', '/v1/sessions', { body: { email, password: PASSWORD } });
    },
    forbidden: () => send(test, 'POST', '/v1/fleets', { key: technician, body: { name: 'Mine' } }),
    'insufficient-scope': async () => {
      const body = { name: 'reads only', role: 'administrator', scopes: ['read'] };
      const client = (await ask('POST', '/v1/oauth-clients', { body })).body as unknown as HeldClient;
      return send(test, 'POST', '/v1/fleets', { key: await tokenOf(test, client), body: { name: 'Mine' } });
    },
    'not-found': () => ask('GET', `/v1/vehicles/${randomUUID()}`),
    'method-not-allowed': () => ask('DELETE', '/v1/depots'),
    'not-acceptable': () => ask('GET', '/v1/depots', { headers: { accept: 'image/png' } }),
    'already-exists': async () => {
      await ask('POST', '/v1/fleets', { body: duplicate });
      return ask('POST', '/v1/fleets', { body: duplicate });
    },
    'state-conflict': async () => {
      const holdId = await added(`/v1/vehicles/${vehicleId}/holds`, { reason: 'fluid on the floor' });
      const lift = (tag: string): Promise<Sent> =>
        ask('POST', `/v1/holds/${holdId}/lift`, {
          headers: { 'if-match': tag },
          body: { reason: 'hose replaced' },
        });
      await lift('"r1"');
      return lift('"r2"');
    },
    'slot-taken': async () => {
      const workshopId = await added('/v1/workshops', {
        name: 'Shut',
        zone: 'Europe/London',
        weeklyHours: [],
      });
      const work = { dueItemKeys: [], extraWork: [{ title: 'Look it over', minutes: 60 }] };
      const startsAt = new Date(TEST_NOW + 86_400_000).toISOString();
      return ask('POST', '/v1/bookings', { body: { vehicleId, workshopId, startsAt, ...work } });
    },
    'request-in-progress': () =>
      whileRunning('key-of-Running', () => ask('POST', '/v1/fleets', idempotent('Running'))),
    'no-longer-kept': async () => {
      const { body } = await ask('GET', '/v1/changes?limit=1');
      await added('/v1/fleets', { name: 'Forgotten' });
      test.setNow(Date.parse('2999-01-01T00:00:00Z'));
      await test.app.get(EventRetentionService).forget(organisation.organisationId);
      test.setNow(TEST_NOW);
      return ask('GET', `/v1/changes?after=${String(body.next)}`);
    },
    'stale-version': () =>
      ask('PATCH', `/v1/fleets/${fleetId}`, { headers: { 'if-match': '"r99"' }, body: { name: 'Stale' } }),
    'payload-too-large': () => ask('POST', '/v1/fleets', { body: { name: 'x'.repeat(BODY_LIMIT) } }),
    'unsupported-media-type': () =>
      ask('POST', '/v1/fleets', { headers: { 'content-type': 'text/xml' }, body: '<name/>' }),
    'validation-failed': () => ask('POST', '/v1/depots', { body: { zone: 'Mars/Olympus', colour: 'red' } }),
    'contradictory-layout': () =>
      ask('PUT', `/v1/vehicles/${vehicleId}/hydraulic-system`, {
        headers: { 'if-match': '"r0"' },
        // a split pump feeds the steering by a section of its own: common practice, no published source
        body: {
          pumpKind: 'split',
          antiSinkValves: 'not-fitted',
          rearBrakeAccumulator: 'unverified',
          steeringSupply: 'shared-supply',
          steeringRegulator: 'unverified',
        },
      }),
    'idempotency-key-reused': async () => {
      const first = idempotent('First');
      await ask('POST', '/v1/fleets', first);
      return ask('POST', '/v1/fleets', { ...first, body: { name: 'Second' } });
    },
    'precondition-required': () => ask('PATCH', `/v1/fleets/${fleetId}`, { body: { name: 'Blind' } }),
    'too-many-requests': () =>
      beside({ requestsPerMinute: 1 }, async (app) => {
        const theirs = await addKey(test, organisation, 'technician');
        await send(app, 'GET', '/v1/fleets', { key: theirs });
        return send(app, 'GET', '/v1/fleets', { key: theirs });
      }),
    'internal-error': () => {
      jest
        .spyOn(test.app.get(FleetsService), 'list')
        .mockRejectedValueOnce(new Error('SELECT nothing FROM here'));
      return ask('GET', '/v1/fleets');
    },
    unavailable: async () => {
      const answers: Sent[] = [];
      await withoutDatabase(async (app, proxy) => {
        proxy.cut();
        answers.push(await send(app, 'GET', '/v1/fleets', { key }));
      });
      return answers[0]!;
    },
  };

  it.each(Object.keys(provocations) as ErrorCode[])('%s', async (code) => {
    const answer = await provocations[code]();
    const { status, title, remedy } = problemTable[code];
    // RFC 9457, section 3: media type, and a status member that repeats the status line
    expect(answer).toMatchObject({
      status,
      headers: { 'content-type': 'application/problem+json; charset=utf-8' },
      body: { type: `/problems/${code}`, title, status, remedy, requestId: answer.headers['x-request-id'] },
    });
    expect(answer.text).not.toMatch(/node_modules|\.[jt]s:\d|SELECT|INSERT/);
    const explained = await send(test, 'GET', String(answer.body.type));
    expect(explained).toMatchObject({ status: 200, body: { type: answer.body.type, status, title, remedy } });
    if ([429, 503].includes(status) || code === 'request-in-progress') {
      expect(Number(answer.headers['retry-after'])).toBeGreaterThanOrEqual(1);
    }
    // RFC 6750, section 3
    const error = ['key-not-valid', 'token-not-valid'].includes(code) ? ' error="invalid_token"' : '';
    if (status === 401) expect(answer.headers['www-authenticate']).toBe(`Bearer${error}`);
  });

  it('405 lists what the address takes (RFC 9110, 15.5.6)', async () => {
    const allow = (await provocations['method-not-allowed']()).headers.allow ?? '';
    expect(allow.split(', ').sort()).toEqual(['GET', 'HEAD', 'POST']);
  });

  it('422 names every field at once', async () => {
    const { body } = await provocations['validation-failed']();
    const pointers = (body.errors as { pointer: string }[]).map(({ pointer }) => pointer);
    expect([...new Set(pointers)].sort()).toEqual(['#/colour', '#/fleetId', '#/name', '#/zone']);
  });

  it('an address or a query that is not well encoded is a request that cannot be read', async () => {
    for (const url of ['/v1/vehicles/%', '/v1/vehicles/%c0%af', '/v1/%zz']) {
      const { status, headers } = await ask('GET', url);
      expect([url, status, headers['content-type']]).toEqual([
        url,
        400,
        'application/problem+json; charset=utf-8',
      ]);
    }
    const query = await ask('GET', '/v1/vehicles?fleetId=%&limit=%zz');
    expect([query.status, [...new Set(parametersOf(query))].sort()]).toEqual([422, ['fleetId', 'limit']]);
  });

  it('an address of any length is told as far as the contract lets it be', async () => {
    // RFC 3986, section 2.1: an escape has two digits
    const { status, body } = await ask('GET', `/v1/nothing-at-all/${'%C3%A4'.repeat(2_000)}`);
    expect([status, String(body.instance)]).toEqual([
      404,
      expect.stringMatching(/^\/v1\/nothing-at-all\/(%[0-9A-F]{2})*$/),
    ]);
    expect(String(body.instance).length).toBeGreaterThan(1_990);
  });

  it('every kind is listed, an unknown one is not found', async () => {
    const { body } = await send(test, 'GET', '/problems');
    expect(body).toHaveLength(Object.keys(problemTable).length);
    expect((await send(test, 'GET', '/problems/none-such')).status).toBe(404);
  });
});

describe('limits', () => {
  it('takes a body of exactly the limit, and refuses one byte more', async () => {
    const frame = JSON.stringify({ name: '' }).length;
    const body = (bytes: number): string => JSON.stringify({ name: 'x'.repeat(bytes - frame) });
    // at the limit the body is read, and it is the name that is too long
    expect((await ask('POST', '/v1/fleets', { body: body(BODY_LIMIT) })).status).toBe(422);
    expect((await ask('POST', '/v1/fleets', { body: body(BODY_LIMIT + 1) })).status).toBe(413);
  });

  it('counts bytes, not characters', async () => {
    const text = JSON.stringify({ name: 'ä'.repeat(BODY_LIMIT / 2) });
    expect(text.length).toBeLessThan(BODY_LIMIT);
    expect((await ask('POST', '/v1/fleets', { body: text })).status).toBe(413);
  });

  it('shares the allowance of a key between processes, and keeps those of other keys apart', async () => {
    await beside({ requestsPerMinute: 6 }, (first) =>
      beside({ requestsPerMinute: 6 }, async (second) => {
        const [mine, colleagues] = [
          await addKey(test, organisation, 'technician'),
          await addKey(test, organisation, 'technician'),
        ];
        const statuses: number[] = [];
        const remaining: string[] = [];
        for (let count = 0; count < 8; count++) {
          const answer = await send(count % 2 === 0 ? first : second, 'GET', '/v1/fleets', { key: mine });
          statuses.push(answer.status);
          remaining.push(/r=(\d+)/.exec(answer.headers.ratelimit ?? '')?.[1] ?? '');
          expect(answer.headers['ratelimit-policy']).toBe('"minute";q=6;w=60');
        }
        expect(statuses).toEqual([200, 200, 200, 200, 200, 200, 429, 429]);
        expect(remaining).toEqual(['5', '4', '3', '2', '1', '0', '0', '0']);
        expect((await send(first, 'GET', '/v1/fleets', { key: colleagues })).status).toBe(200);
      }),
    );
  });

  it('gives out an allowance to the last, of which an idle process keeps a hundredth at the most', async () => {
    // with more than 199 requests a minute a process draws several at a time, and here the last draw is a smaller one
    const [perMinute, share] = [251, 2];
    await beside({ requestsPerMinute: perMinute }, (first) =>
      beside({ requestsPerMinute: perMinute }, async (second) => {
        const answered = async (app: TestApp, by: string, requests: number): Promise<number> => {
          const asked = Array.from({ length: requests }, () => send(app, 'GET', '/v1/fleets', { key: by }));
          return (await Promise.all(asked)).filter(({ status }) => status === 200).length;
        };
        expect(await answered(first, await addKey(test, organisation, 'technician'), 270)).toBe(perMinute);
        const colleague = await addKey(test, organisation, 'technician');
        const atTheOther = await answered(second, colleague, 1);
        expect(atTheOther + (await answered(first, colleague, 270))).toBe(perMinute - (share - 1));
      }),
    );
  });

  it('takes a page of 500, and refuses one of 501', async () => {
    expect((await ask('GET', '/v1/vehicles?limit=500')).status).toBe(200);
    const refused = await ask('GET', '/v1/vehicles?limit=501');
    expect([refused.status, parametersOf(refused)]).toEqual([422, ['limit']]);
  });
});

it('every answer to a key or a token says what is left of its allowance', async () => {
  // draft-ietf-httpapi-ratelimit-headers-11, sections 3 and 4; as RFC 9651 writes lists of strings with parameters
  const body = { name: 'counts along', role: 'administrator' };
  const client = (await ask('POST', '/v1/oauth-clients', { body })).body as unknown as HeldClient;
  const missing: string[] = [];
  for (const credential of [key, await tokenOf(test, client)])
    for (const { method, path } of guardedOperationsOf(readContract())) {
      const url = path.replace(/\{\w+\}/g, () => randomUUID());
      const message = {
        key: credential,
        headers: { 'if-match': '"r1"' },
        ...(method === 'GET' ? {} : { body: {} }),
      };
      const { status, headers } = await send(test, method, url, message);
      const told =
        headers['ratelimit-policy'] === `"minute";q=${PLENTY};w=60` &&
        /^"minute";r=\d+;t=([1-9]|[1-5]\d|60)$/.test(headers.ratelimit ?? '');
      if (!told) missing.push(`${method} ${path} ${status}`);
    }
  expect(missing).toEqual([]);
});

describe('without its database', () => {
  it('answers 503 with Retry-After, stays alive, and recovers by itself', async () => {
    await withoutDatabase(async (app, proxy) => {
      const get = (url: string): Promise<Sent> => send(app, 'GET', url, { key });
      expect((await get('/v1/fleets')).status).toBe(200);
      proxy.cut();
      for (const url of ['/v1/fleets', `/v1/vehicles/${vehicleId}/due-items`, '/health/ready']) {
        const { status, headers } = await get(url);
        expect([url, status, headers['retry-after']]).toEqual([url, 503, '5']);
      }
      const refused = await send(app, 'POST', '/v1/fleets', { key, body: { name: 'Not stored' } });
      expect(refused.status).toBe(503);
      expect((await get('/health/live')).status).toBe(200);
      proxy.restore();
      for (const url of ['/v1/fleets', `/v1/vehicles/${vehicleId}/due-items`, '/health/ready']) {
        expect([url, (await get(url)).status]).toEqual([url, 200]);
      }
      expect(await countFleets('Not stored')).toBe(0);
    });
  });
});

describe('background work that begins while the database is away', () => {
  it('waits for it, and the process stays', async () => {
    await withoutDatabase(async ({ app }, proxy) => {
      proxy.cut();
      let hasBegun = false;
      const beginning = startWork(app).then(() => (hasBegun = true));
      await sleep(200);
      expect(hasBegun).toBe(false);
      proxy.restore();
      await beginning;
    });
  });
});

describe('versions of a record', () => {
  it('a reader who has the record already is answered 304 (RFC 9110, 13.1.2)', async () => {
    const url = `/v1/fleets/${fleetId}`;
    const { headers } = await ask('GET', url);
    const etag = headers.etag ?? '';
    // strong: no W/ (RFC 9110, 8.8.3)
    expect(etag).toMatch(/^"[^"]+"$/);
    const conditional = (value: string): Promise<Sent> =>
      ask('GET', url, { headers: { 'if-none-match': value } });
    for (const value of [etag, `W/${etag}`, `"other", ${etag}`, '*']) {
      expect(await conditional(value)).toMatchObject({ status: 304, text: '', headers: { etag } });
    }
    expect((await conditional('"other"')).status).toBe(200);
  });

  it('of two writers who read the same version one wins, and the other is told', async () => {
    const id = await added('/v1/fleets', { name: 'Contested' });
    const write = (name: string): Promise<Sent> =>
      ask('PATCH', `/v1/fleets/${id}`, { headers: { 'if-match': '"r1"' }, body: { name } });
    const answers = await Promise.all(['one', 'two', 'three', 'four'].map(write));
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 412, 412, 412]);
    const winner = answers.find(({ status }) => status === 200);
    const loser = answers.find(({ status }) => status === 412);
    expect((await ask('GET', `/v1/fleets/${id}`)).body).toEqual(winner?.body);
    expect(loser?.body.currentETag).toBe('"r2"');
    expect(winner?.headers.etag).toBe('"r2"');
  });

  it('a change that changes nothing is no new version', async () => {
    const id = await added('/v1/fleets', { name: 'Same' });
    const same = await ask('PATCH', `/v1/fleets/${id}`, {
      headers: { 'if-match': '"r1"' },
      body: { name: 'Same' },
    });
    expect(same).toMatchObject({ status: 200, headers: { etag: '"r1"' } });
  });
});

describe('JSON merge patch', () => {
  // RFC 7396, appendix A, has fifteen cases. Those whose targets and patches are objects of two members are here, with
  // fleetNumber for "a" and externalKey for "b"; an absent member of the result is null in a record. Lists, patches that
  // are no objects, and objects within objects follow; the three left over turn a member, or the whole target, from an
  // array into something else or back, which no record can do.
  type Members = { a?: string | null; b?: string | null };
  const cases: [Members, Members, Members][] = [
    [{ a: 'b' }, { a: 'c' }, { a: 'c' }],
    [{ a: 'b' }, { b: 'c' }, { a: 'b', b: 'c' }],
    [{ a: 'b' }, { a: null }, {}],
    [{ a: 'b', b: 'c' }, { a: null }, { b: 'c' }],
    [{ a: 'b' }, {}, { a: 'b' }],
    [{}, { a: null }, {}],
    // {"e":null} and {"a":1}
    [{ a: null }, { b: 'c' }, { a: null, b: 'c' }],
  ];
  const record = ({ a, b }: Members): object => ({ fleetNumber: a, externalKey: b });
  let marks = 0;

  it.each(cases)('%j patched by %j is %j', async (target, patch, result) => {
    for (const type of ['application/merge-patch+json', 'application/json']) {
      marks += 1;
      // external keys are unique in the organisation
      const unique = ({ b, ...rest }: Members): Members =>
        typeof b === 'string' ? { ...rest, b: `${b} ${marks}` } : { ...rest, b };
      const id = await added('/v1/vehicles', {
        depotId,
        ...VEHICLE,
        registrationMark: `TVM ${marks}`,
        ...record(unique(target)),
      });
      const patched = await ask('PATCH', `/v1/vehicles/${id}`, {
        headers: { 'if-match': '"r1"', 'content-type': type },
        body: record(unique(patch)),
      });
      expect(patched).toMatchObject({
        status: 200,
        body: record({ a: result.a ?? null, b: unique(result).b ?? null }),
      });
    }
  });

  it.each(['["c"]', 'null', '"bar"', '12'])(
    'a patch that is %s would replace the record, and is refused',
    async (body) => {
      const headers = { 'if-match': '"r1"', 'content-type': 'application/merge-patch+json' };
      const refused = await ask('PATCH', `/v1/vehicles/${vehicleId}`, { headers, body });
      expect(refused).toMatchObject({ status: 422, body: { errors: [{ pointer: '#' }] } });
    },
  );

  it('a list replaces the list that was there: [{"b":"c"}] and [1]', async () => {
    const hours = (weekday: number, from: string) => ({ weekday, windows: [{ from, until: '17:00' }] });
    const before = {
      name: 'Patched',
      zone: 'Europe/London',
      weeklyHours: [hours(1, '08:00'), hours(2, '08:00')],
    };
    const id = await added('/v1/workshops', before);
    const headers = { 'if-match': '"r1"', 'content-type': 'application/merge-patch+json' };
    const body = { weeklyHours: [hours(3, '09:00')] };
    const patched = await ask('PATCH', `/v1/workshops/${id}`, { headers, body });
    expect(patched).toMatchObject({ status: 200, body: { ...body, zone: before.zone } });
  });

  it('no member that can be patched is an object, so no patch has to be looked into', () => {
    // {"a":{"b":"c"}} and {"a":{"b":"d","c":null}}; {} and {"a":{"bb":{"ccc":null}}}
    const contract = readContract();
    const patches = operationsOf(contract).filter(({ method }) => method === 'PATCH');
    const objects = patches.flatMap(({ operation }) =>
      Object.entries(bodySchemaOf(contract, operation)?.properties ?? {})
        .filter(([, { types }]) => types.includes('object'))
        .map(([name]) => `${operation.operationId} ${name}`),
    );
    expect(patches.length).toBeGreaterThan(10);
    expect(objects).toEqual([]);
  });

  it('a member that a record always has cannot be removed, and an unknown one is refused', async () => {
    const patch = (body: object): Promise<Sent> =>
      ask('PATCH', `/v1/vehicles/${vehicleId}`, { headers: { 'if-match': '"r1"' }, body });
    for (const [member, value] of [
      ['dutyClass', null],
      ['id', randomUUID()],
      ['revision', 9],
      ['fleetId', fleetId],
    ]) {
      const { status, text } = await patch({ [String(member)]: value });
      expect([status, text]).toEqual([422, expect.stringContaining(`"#/${String(member)}"`)]);
    }
  });
});

describe('a repeated request', () => {
  const post = (name: string, idempotencyKey: string): Promise<Sent> =>
    ask('POST', '/v1/fleets', { headers: { 'idempotency-key': idempotencyKey }, body: { name } });

  it('of twenty at the same time makes one record, and all that succeed have one answer', async () => {
    const idempotencyKey = randomUUID();
    const answers = await Promise.all(Array.from({ length: 20 }, () => post('Twenty times', idempotencyKey)));
    const first = answers.find(({ status }) => status === 201);
    expect(first).toBeDefined();
    for (const answer of answers) {
      if (answer.status === 201) expect(answer.body).toEqual(first?.body);
      else expect([answer.status, answer.body.type]).toEqual([409, '/problems/request-in-progress']);
    }
    expect(await countFleets('Twenty times')).toBe(1);
    const again = await post('Twenty times', idempotencyKey);
    expect([again.status, again.body, again.headers.etag]).toEqual([201, first?.body, first?.headers.etag]);
    // quoted as the draft writes it (draft-ietf-httpapi-idempotency-key-header-07, section 2.1)
    expect((await post('Twenty times', `"${idempotencyKey}"`)).body).toEqual(first?.body);
  });

  it('is another request when its body or its address differs', async () => {
    const idempotencyKey = randomUUID();
    await post('Original', idempotencyKey);
    const different = await post('Different', idempotencyKey);
    const elsewhere = await ask('POST', '/v1/depots', {
      headers: { 'idempotency-key': idempotencyKey },
      body: { fleetId, name: 'Original', zone: 'Europe/London' },
    });
    for (const { status, body } of [different, elsewhere]) {
      expect([status, body.type]).toEqual([422, '/problems/idempotency-key-reused']);
    }
  });

  it('after a refusal is looked at anew', async () => {
    const idempotencyKey = randomUUID();
    const headers = { 'idempotency-key': idempotencyKey };
    const refused = await ask('POST', '/v1/depots', { headers, body: { fleetId: randomUUID(), ...DEPOT } });
    expect(refused.status).toBe(422);
    expect((await ask('POST', '/v1/depots', { headers, body: { fleetId, ...DEPOT } })).status).toBe(201);
  });

  it('whose first answer was lost on the way is answered as the first time', async () => {
    await test.app.listen(0, '127.0.0.1');
    const { port } = test.app.getHttpServer().address() as AddressInfo;
    const idempotencyKey = randomUUID();
    const body = JSON.stringify({ name: 'Lost answer' });
    const socket = connect(port, '127.0.0.1');
    await once(socket, 'connect');
    socket.write(
      [
        'POST /v1/fleets HTTP/1.1',
        'Host: 127.0.0.1',
        `Authorization: Bearer ${key}`,
        'Content-Type: application/json',
        `Content-Length: ${body.length}`,
        `Idempotency-Key: ${idempotencyKey}`,
        '',
        body,
      ].join('\r\n'),
    );
    // nobody reads the answer; the connection breaks as soon as the record is there
    while ((await countFleets('Lost answer')) === 0) await sleep(5);
    socket.destroy();
    const again = await post('Lost answer', idempotencyKey);
    expect(again).toMatchObject({ status: 201, body: { name: 'Lost answer', revision: 1 } });
    expect(await post('Lost answer', idempotencyKey)).toMatchObject({ status: 201, body: again.body });
    expect(await countFleets('Lost answer')).toBe(1);
  });

  it('whose commit was never confirmed by the database is answered from what was committed', async () => {
    await withoutDatabase(async (app, proxy) => {
      const request: Message = {
        key,
        headers: { 'idempotency-key': randomUUID() },
        body: { name: 'Unconfirmed' },
      };
      // the key is known by now, so that the next commit is the one of the write
      await send(app, 'GET', '/v1/fleets', { key });
      proxy.cutWhenAnswered('COMMIT');
      const lost = await send(app, 'POST', '/v1/fleets', request);
      expect(lost).toMatchObject({ status: 503, body: { type: '/problems/unavailable' } });
      const again = await send(app, 'POST', '/v1/fleets', request);
      expect(again).toMatchObject({ status: 201, body: { name: 'Unconfirmed' } });
      expect(await countFleets('Unconfirmed')).toBe(1);
    });
  });
});

const DEPOT = { name: 'Lower Tarn', zone: 'Europe/London' };

describe('pages', () => {
  const next = ({ body }: Sent): string => String(body.next);
  const page = (query: string): Promise<Sent> => ask('GET', `/v1/depots?fleetId=${pagedFleetId}&${query}`);
  let pagedFleetId: string;
  let depotIds: string[];
  beforeAll(async () => {
    pagedFleetId = await added('/v1/fleets', { name: 'Many depots' });
    depotIds = [];
    for (let count = 0; count < 12; count++) {
      depotIds.push(await added('/v1/depots', { fleetId: pagedFleetId, ...DEPOT }));
    }
  });

  const idsOf = ({ body }: Sent): string[] => (body.items as { id: string }[]).map(({ id }) => id);

  it('lose and repeat nothing while records come and go, and are followed by the Link header', async () => {
    const removed = new Set<string>();
    const remove = async (id: string): Promise<void> => {
      await asOwner(test, organisation.organisationId, 'DELETE FROM depots WHERE id = $1', [id]);
      removed.add(id);
    };
    const seen: string[] = [];
    let url: string | undefined = `/v1/depots?fleetId=${pagedFleetId}&limit=3`;
    for (let count = 0; url !== undefined; count++) {
      const answer: Sent = await ask('GET', url);
      expect(answer.status).toBe(200);
      seen.push(...idsOf(answer));
      const links = LinkHeader.parse(answer.headers.link ?? '');
      const [link] = links.rel('next');
      // the header and the body say the same (RFC 8288)
      expect(link === undefined ? null : new URL(link.uri, 'http://here').searchParams.get('cursor')).toBe(
        answer.body.next,
      );
      url = link?.uri;
      // the last one that was seen, which the cursor names; one that was seen before; one that is still to come
      if (count === 0) for (const index of [0, 2, 7]) await remove(depotIds[index]!);
      if (count === 1) await added('/v1/depots', { fleetId: pagedFleetId, ...DEPOT });
    }
    expect(new Set(seen).size).toBe(seen.length);
    const staying = depotIds.filter((id) => !removed.has(id));
    expect(seen).toEqual(expect.arrayContaining(staying));
    expect(seen).not.toContain(depotIds[7]);
  });

  it('take a cursor only as it was made, for the same list and filter, at any limit', async () => {
    const cursor = next(await page('limit=2'));
    expect((await page(`limit=5&cursor=${cursor}`)).status).toBe(200);
    const [payload = '', signature = ''] = cursor.split('.');
    const forged = Buffer.from(JSON.stringify([depotIds[5]])).toString('base64url');
    const refused = [
      `/v1/depots?limit=2&cursor=${cursor}`,
      `/v1/depots?fleetId=${fleetId}&cursor=${cursor}`,
      `/v1/vehicles?fleetId=${pagedFleetId}&cursor=${cursor}`,
      ...[`${forged}.${signature}`, `${payload}.`, payload, `${payload}.${signature}A`, '', '.', 'x.y'].map(
        (bad) => `/v1/depots?fleetId=${pagedFleetId}&cursor=${encodeURIComponent(bad)}`,
      ),
    ];
    for (const url of refused) {
      const answer = await ask('GET', url);
      expect([url, answer.status, parametersOf(answer)]).toEqual([url, 422, ['cursor']]);
    }
  });
});

describe('headers', () => {
  it('protect every answer (OWASP REST Security Cheat Sheet)', async () => {
    const answers = [
      await ask('GET', '/v1/fleets'),
      await ask('GET', '/nothing'),
      await send(test, 'GET', '/v1/fleets'),
      await send(test, 'GET', '/docs'),
    ];
    for (const { headers } of answers) {
      expect(headers).toMatchObject({
        'x-content-type-options': 'nosniff',
        'x-frame-options': 'SAMEORIGIN',
        'strict-transport-security': expect.stringMatching(/max-age=\d{7,}/) as string,
        'content-security-policy': expect.stringContaining("default-src 'self'") as string,
        'x-request-id': expect.stringMatching(UUID) as string,
      });
      expect(headers['x-powered-by']).toBeUndefined();
      expect(headers['access-control-allow-origin']).toBeUndefined();
    }
  });
});

describe('what runs beside the API', () => {
  it('the log masks keys and secrets, whatever goes wrong', async () => {
    const canary = `canary${randomUUID().replaceAll('-', '')}`;
    log.length = 0;
    await ask('GET', '/v1/fleets');
    await send(test, 'GET', `/v1/fleets?access_token=${canary}`, { key });
    await send(test, 'POST', '/v1/oauth/token', {
      headers: { 'content-type': 'application/x-www-form-urlencoded' },
      body: `grant_type=client_credentials&client_id=oc_${canary}&client_secret=${canary}`,
    });
    for (const authorization of [
      ...[`Bearer ${canary}`, `Basic ${canary}`, `Bearer pk_${canary}`, canary],
      `Bearer a.${canary}.b`,
    ]) {
      await send(test, 'GET', '/v1/fleets', { headers: { authorization, cookie: `session=${canary}` } });
    }
    const password = `password ${canary}`;
    const email = `${canary}@tarn-valley.example`;
    const signIn = (body: object): Promise<Sent> => send(test, 'POST', '/v1/sessions', { body });
    await signIn({ email, password });
    await signIn({ email: canary, password });
    await signIn({ email, password, organisationId: canary });
    const refused = [await acceptInvitation(test, `pi_${canary}`, password)];
    refused.push(await send(test, 'GET', '/v1/session', { key: `ps_${canary}` }));
    const { invitation } = await invitePerson(test, key, { name: 'Teal' });
    refused.push(await acceptInvitation(test, invitation, 'password123'));
    const accepted = await acceptInvitation(test, invitation, password);
    const session = sessionIn(accepted);
    const wrong = { currentPassword: password.toUpperCase(), newPassword: `another ${canary}` };
    refused.push(await send(test, 'POST', '/v1/session/password', { key: session, body: wrong }));
    refused.push(await send(test, 'PATCH', '/v1/session/preferences', { key: session, body: { password } }));
    for (const answer of refused) {
      expect(answer.status).toBeGreaterThanOrEqual(400);
      expect(answer.text).not.toContain(canary);
      expect(answer.text).not.toContain(invitation);
      expect(answer.text).not.toContain(session);
    }
    const made = await ask('POST', '/v1/api-keys', { body: { name: 'new', role: 'technician' } });
    await ask('POST', '/v1/fleets', { body: `{"name":"${canary}` });
    await ask('POST', '/v1/fleets', { body: { password: canary } });
    const driverError = Object.assign(new Error('it broke'), { parameters: [canary], code: 'XX000' });
    for (const error of [
      new QueryFailedError(`SELECT '${canary}'`, [canary], driverError),
      Object.assign(new Error('it broke'), {
        secret: canary,
      }),
      new Error('it broke', { cause: new QueryFailedError(`SELECT '${canary}'`, [canary], driverError) }),
    ]) {
      jest.spyOn(test.app.get(FleetsService), 'list').mockRejectedValueOnce(error);
      expect((await ask('GET', '/v1/fleets')).status).toBe(500);
    }
    const text = log.join('');
    expect(log.length).toBeGreaterThan(10);
    expect(text).toContain('request failed');
    expect(text).not.toContain(canary);
    expect(text).not.toContain(key);
    expect(text).not.toContain(key.slice(-43));
    for (const secret of [invitation, session]) expect(text).not.toContain(secret.slice(-43));
    expect(String(made.body.key)).toMatch(/^pk_/);
    expect(text).not.toContain(String(made.body.key));
    for (const line of log) expect(JSON.parse(line)).toMatchObject({ level: expect.any(Number) as number });
  });

  it('the log names the request that a problem document names', async () => {
    log.length = 0;
    const { body } = await ask('GET', '/nothing');
    const lines = log.map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(lines).toContainEqual(
      expect.objectContaining({ requestId: body.requestId, status: 404, path: '/nothing' }),
    );
  });

  it('metrics tell how long requests took, by route and not by record', async () => {
    await ask('GET', `/v1/vehicles/${vehicleId}`);
    const { status, headers, text } = await send(test, 'GET', '/metrics');
    expect([status, headers['content-type']]).toEqual([200, 'text/plain; version=0.0.4; charset=utf-8']);
    expect(text).toMatch(
      /^precharge_http_request_duration_seconds_count\{method="GET",route="\/v1\/vehicles\/:vehicleId",status="200"\} [1-9]/m,
    );
    expect(text).toMatch(/^precharge_http_request_duration_seconds_bucket\{le="0.1",/m);
    expect(text.match(UUID)).toBeNull();
  });

  it('the contract and its page are served without a key, and the page needs no other host', async () => {
    const contract = await send(test, 'GET', '/openapi.json');
    expect(contract.body).toMatchObject({ openapi: '3.1.0' });
    const page = await send(test, 'GET', '/docs');
    expect(page.status).toBe(200);
    expect(page.text).not.toMatch(/(?:src|href)="(?:https?:)?\/\//);
  });
});
