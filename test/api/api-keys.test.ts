import type { RuleOptions } from '../../src/core/due/rule';
import type {
  ApiKeyDto,
  ApiKeyPageDto,
  NewApiKeyDto,
  RotatedApiKeyDto,
} from '../../src/modules/api-keys/dto/api-key.dto';
import { parseApiKey } from '../../src/platform/security/api-key-token';
import { addKey, apiClient, type ApiClient, type Refusal } from '../support/api-client';
import { Operator } from '../support/operator';
import { formsOf, tablesWith } from '../support/tables-with';
import { startTestApp, type TestApp } from '../support/test-app';

const KEYS = '/v1/api-keys';
const HOUR_MS = 3_600_000;

let test: TestApp;
let operator: Operator;
let admin: ApiClient;
beforeAll(async () => {
  test = await startTestApp();
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  admin = operator.admin;
});
afterAll(() => test.close());

const make = (body: object = {}, client = admin) =>
  client.ok<NewApiKeyDto>('post', KEYS, { body: { name: 'front desk', role: 'front-desk', ...body } });
const holderOf = ({ key }: { key: string | null }) => apiClient(test, key ?? '');
const statusOf = async (client: ApiClient) => (await client.call('get', '/v1/organisation')).status;
const inHours = (hours: number) => new Date(Date.now() + hours * HOUR_MS).toISOString();

describe('making a key', () => {
  it('shows it once, and it works at once', async () => {
    const made = await admin.call<NewApiKeyDto>('post', KEYS, {
      body: { name: 'workshop wall', role: 'technician', expiresAt: inHours(1) },
    });
    expect(made).toMatchObject({ status: 201, etag: '"r1"' });
    const { key, ...rest } = made.body;
    expect(parseApiKey(key ?? '')).toMatchObject({
      organisationId: operator.organisationId,
      apiKeyId: rest.id,
    });
    expect(rest).toMatchObject({
      name: 'workshop wall',
      role: 'technician',
      fleetIds: null,
      revokedAt: null,
    });
    expect(await statusOf(holderOf(made.body))).toBe(200);

    expect(await admin.ok('get', `${KEYS}/${rest.id}`)).toEqual(rest);
    const { items } = await admin.ok<ApiKeyPageDto>('get', `${KEYS}?limit=500`);
    expect(items).toContainEqual(rest);
    const entries = await operator.sql(`SELECT action, after FROM audit_entries WHERE subject_id = $1`, [
      rest.id,
    ]);
    expect(entries).toMatchObject([{ action: 'created', after: rest }]);
  });

  it('leaves the secret nowhere in the database, repeated or rotated', async () => {
    const request = { body: { name: 'dealer', role: 'dealer-system' }, idempotencyKey: 'one-dealer-key' };
    const made = await admin.ok<NewApiKeyDto>('post', KEYS, request);
    const repeated = await admin.ok<NewApiKeyDto>('post', KEYS, request);
    expect(repeated).toEqual({ ...made, key: null });
    const rotation = { body: {}, idempotencyKey: 'one-dealer-rotation' };
    const rotated = await admin.ok<RotatedApiKeyDto>('post', `${KEYS}/${made.id}/rotate`, rotation);
    expect(await admin.ok('post', `${KEYS}/${made.id}/rotate`, rotation)).toEqual({ ...rotated, key: null });

    for (const { id, key } of [made, rotated]) {
      const secret = (key ?? '').slice(-43);
      expect(secret).toMatch(/^[\w-]{43}$/);
      expect(await tablesWith(operator, ...formsOf(secret))).toEqual([]);
      // the search does find what is there
      expect(await tablesWith(operator, id)).toEqual(
        expect.arrayContaining(['public.api_keys', 'public.audit_entries', 'public.idempotency_records']),
      );
    }
    const named = await operator.sql(`SELECT FROM api_keys WHERE name = 'dealer'`);
    expect(named).toHaveLength(2);
  });

  it('names every bad field', async () => {
    const fleet = await operator.fleet('patient transport');
    const stranger = await Operator.of(test, 'Another operator');
    const foreign = await stranger.fleet('theirs');
    const refused = (body: object) =>
      admin.refused('post', KEYS, { body: { name: 'n', role: 'technician', ...body } });
    expect(await admin.refused('post', KEYS, { body: {} })).toEqual(
      expect.arrayContaining([422, '#/name', '#/role']),
    );
    expect(await refused({ name: 'x'.repeat(101) })).toEqual([422, '#/name']);
    expect(await refused({ role: 'owner' })).toEqual([422, '#/role']);
    expect(await refused({ secret: 's' })).toEqual([422, '#/secret']);
    for (const fleetIds of [[], 'all', [fleet, fleet], ['x'], [foreign], [fleet, foreign]]) {
      expect([...new Set(await refused({ fleetIds }))]).toEqual([422, '#/fleetIds']);
    }
    expect(await refused({ workshopIds: [fleet] })).toEqual([422, '#/workshopIds']);
    for (const expiresAt of ['2030-01-01', '2030-02-30T00:00:00Z', inHours(-1), 5]) {
      expect(await refused({ expiresAt })).toEqual([422, '#/expiresAt']);
    }
    expect((await admin.call('get', `${KEYS}/x`)).status).toBe(422);
    expect(await admin.refused('get', `${KEYS}/${fleet}`)).toEqual([404]);
  });

  it('is for administrators of this operator', async () => {
    const { id } = await make();
    const planner = await operator.colleague('fleet-planner');
    for (const [method, path] of [
      ['get', KEYS],
      ['post', KEYS],
      ['get', `${KEYS}/${id}`],
      ['delete', `${KEYS}/${id}`],
      ['post', `${KEYS}/${id}/rotate`],
    ] as const) {
      expect([path, (await planner.call(method, path)).status]).toEqual([path, 403]);
    }
    const stranger = (await Operator.of(test, 'A third operator')).admin;
    expect(await stranger.refused('get', `${KEYS}/${id}`)).toEqual([404]);
    expect(await stranger.refused('delete', `${KEYS}/${id}`, { ifMatch: '"r1"' })).toEqual([404]);
    expect(await stranger.refused('post', `${KEYS}/${id}/rotate`, { body: {} })).toEqual([404]);
    expect((await stranger.ok<ApiKeyPageDto>('get', KEYS)).items).toHaveLength(1);
  });
});

describe('revoking a key', () => {
  it('takes effect with the next request', async () => {
    const made = await make();
    const holder = holderOf(made);
    expect(await statusOf(holder)).toBe(200);
    const remove = (ifMatch?: string) =>
      admin.call<ApiKeyDto>('delete', `${KEYS}/${made.id}`, ifMatch === undefined ? {} : { ifMatch });
    expect((await remove()).status).toBe(428);
    expect((await remove('"r9"')).status).toBe(412);
    expect(await statusOf(holder)).toBe(200);
    const revoked = await remove('"r1"');
    expect(revoked).toMatchObject({ status: 200, etag: '"r2"' });
    expect(revoked.body.revokedAt).not.toBeNull();
    expect(await statusOf(holder)).toBe(401);
    const tried = await holder.call<Refusal>('post', '/v1/calculations/hydraulic-layout', { body: {} });
    expect(tried).toMatchObject({ status: 401, body: { type: '/problems/key-not-valid' } });
    expect((await remove('"r2"')).body).toEqual(revoked.body);

    const listed = async (query: string) =>
      (await admin.ok<ApiKeyPageDto>('get', `${KEYS}?limit=500${query}`)).items.map(({ id }) => id);
    expect(await listed('')).not.toContain(made.id);
    expect(await listed('&includeRevoked=true')).toContain(made.id);
  });

  it('never takes the last administrator away', async () => {
    const { admin: only } = await Operator.of(test, 'Lone operator');
    const { items } = await only.ok<ApiKeyPageDto>('get', KEYS);
    const first = items[0]!;
    const revoke = (client: ApiClient, id: string) =>
      client.call<Refusal>('delete', `${KEYS}/${id}`, { ifMatch: '"r1"' });
    expect(await revoke(only, first.id)).toMatchObject({
      status: 409,
      body: { type: '/problems/state-conflict' },
    });
    // neither a planner, nor an administrator of some fleets or for some hours, can take its place
    await make({ role: 'fleet-planner' }, only);
    const brief = await make({ role: 'administrator', expiresAt: inHours(2) }, only);
    expect((await revoke(only, first.id)).status).toBe(409);
    expect((await revoke(only, brief.id)).status).toBe(200);
    const second = await make({ role: 'administrator' }, only);
    expect((await revoke(only, first.id)).status).toBe(200);
    expect(await statusOf(only)).toBe(401);
    expect((await revoke(holderOf(second), second.id)).status).toBe(409);
  });

  it('lets two administrators that revoke each other not both succeed', async () => {
    const { admin: one } = await Operator.of(test, 'Quarrelling operator');
    const first = (await one.ok<ApiKeyPageDto>('get', KEYS)).items[0]!;
    const second = await make({ role: 'administrator' }, one);
    const other = holderOf(second);
    const answers = await Promise.all([
      one.call('delete', `${KEYS}/${second.id}`, { ifMatch: '"r1"' }),
      other.call('delete', `${KEYS}/${first.id}`, { ifMatch: '"r1"' }),
    ]);
    expect(answers.filter(({ status }) => status === 200)).toHaveLength(1);
    expect([await statusOf(one), await statusOf(other)].sort()).toEqual([200, 401]);
  });
});

describe('rotating a key', () => {
  const rotate = (id: string, body: object = {}) =>
    admin.call<RotatedApiKeyDto>('post', `${KEYS}/${id}/rotate`, { body });

  it('gives a new key with the same rights, and both work during the overlap', async () => {
    const fleet = await operator.fleet('night shift');
    const made = await make({ fleetIds: [fleet] });
    const { status, body } = await rotate(made.id);
    expect(status).toBe(200);
    expect(body).toMatchObject({
      name: 'front desk',
      role: 'front-desk',
      fleetIds: [fleet],
      replacedKeyId: made.id,
    });
    expect(body.id).not.toBe(made.id);
    const overlapMs = Date.parse(body.replacedKeyExpiresAt) - Date.now();
    expect(Math.abs(overlapMs - 24 * HOUR_MS)).toBeLessThan(60_000);
    expect([await statusOf(holderOf(made)), await statusOf(holderOf(body))]).toEqual([200, 200]);
    const old = await admin.ok<ApiKeyDto>('get', `${KEYS}/${made.id}`);
    expect(old).toMatchObject({ expiresAt: body.replacedKeyExpiresAt, revision: 2 });
  });

  it('ends the old one at once without an overlap, and never lengthens a life', async () => {
    const made = await make();
    const { body } = await rotate(made.id, { overlapHours: 0 });
    expect([await statusOf(holderOf(made)), await statusOf(holderOf(body))]).toEqual([401, 200]);
    expect((await rotate(made.id)).status).toBe(409);

    const brief = await make({ expiresAt: inHours(2) });
    const rotated = (await rotate(brief.id, { overlapHours: 168 })).body;
    expect(rotated).toMatchObject({ expiresAt: brief.expiresAt, replacedKeyExpiresAt: brief.expiresAt });
  });

  it('refuses an overlap that is none, and a key that is over', async () => {
    const { id } = await make();
    for (const overlapHours of [-1, 169, 1.5, '24', null]) {
      const answer = await admin.refused('post', `${KEYS}/${id}/rotate`, { body: { overlapHours } });
      expect([...new Set(answer)]).toEqual([422, '#/overlapHours']);
    }
    await admin.ok('delete', `${KEYS}/${id}`, { ifMatch: '"r1"' });
    expect((await rotate(id)).status).toBe(409);
  });
});

describe('a key that is limited to fleets', () => {
  const RESERVE: RuleOptions = {
    code: 'brake-reserve-check',
    task: 'brake-reserve-check',
    title: 'Check the brake reserve',
    source: 'made for the test',
    everyMonths: 12,
    safetyCritical: true,
  };

  it('sees only them: vehicles, depots, due items, holds', async () => {
    const owner = await Operator.of(test, 'Operator of two fleets');
    await owner.follows([RESERVE]);
    const own = await owner.fleet('own');
    const other = await owner.fleet('other');
    const [ownDepot, otherDepot] = [await owner.depot(own, 'own'), await owner.depot(other, 'other')];
    const inServiceOn = '2025-01-10';
    const mine = await owner.vehicle(ownDepot, 'O 1', { inServiceOn });
    const theirs = await owner.vehicle(otherDepot, 'O 2', { inServiceOn });

    const made = await make({ role: 'fleet-planner', fleetIds: [own] }, owner.admin);
    const scoped = holderOf(made);
    const seen = async (client: ApiClient, path: string, member: string) =>
      (await client.ok<{ items: Record<string, string>[] }>('get', path)).items.map((item) => item[member]);
    for (const [path, member, one, both] of [
      ['/v1/fleets', 'id', [own], [own, other]],
      ['/v1/depots', 'id', [ownDepot], [ownDepot, otherDepot]],
      ['/v1/vehicles', 'id', [mine], [mine, theirs]],
      ['/v1/due-items', 'vehicleId', [mine], [mine, theirs]],
      ['/v1/due-items?onHold=true', 'vehicleId', [mine], [mine, theirs]],
      ['/v1/due-items?onHold=false', 'vehicleId', [], []],
      ['/v1/holds', 'vehicleId', [mine], [mine, theirs]],
      ['/v1/hydraulic-systems/to-inspect', 'vehicleId', [mine], [mine, theirs]],
    ] as const) {
      expect([path, await seen(scoped, path, member)]).toEqual([path, one]);
      expect([path, (await seen(owner.admin, path, member)).sort()]).toEqual([path, [...both].sort()]);
    }
    expect(await seen(scoped, `/v1/vehicles?fleetId=${other}`, 'id')).toEqual([]);
    for (const path of ['', '/due-items', '/hold', '/hold-overrides', '/hydraulic-system']) {
      expect([path, (await scoped.call('get', `/v1/vehicles/${theirs}${path}`)).status]).toEqual([path, 404]);
    }
    const hold = { body: { reason: 'pedal sinks' } };
    expect(await scoped.refused('post', `/v1/vehicles/${theirs}/holds`, hold)).toEqual([404]);
    expect(await scoped.refused('get', `/v1/depots/${otherDepot}`)).toEqual([404]);
  });

  it('cannot widen itself', async () => {
    const owner = await Operator.of(test, 'Operator with a fleet administrator');
    const [own, other] = [await owner.fleet('own'), await owner.fleet('other')];
    const wide = await make({ role: 'administrator' }, owner.admin);
    const scoped = apiClient(test, await addKey(test, owner.organisation, 'administrator', [own]));
    const refused = (body: object) =>
      scoped.refused('post', KEYS, { body: { name: 'n', role: 'administrator', ...body } });
    expect(await refused({})).toEqual([422, '#/fleetIds']);
    expect(await refused({ fleetIds: [other] })).toEqual([422, '#/fleetIds']);
    const narrow = await make({ role: 'administrator', fleetIds: [own] }, scoped);
    const { items } = await scoped.ok<ApiKeyPageDto>('get', KEYS);
    expect(items).toHaveLength(2);
    expect(items.map(({ id }) => id)).toContain(narrow.id);
    expect(await scoped.refused('get', `${KEYS}/${wide.id}`)).toEqual([404]);
    expect(await scoped.refused('post', `${KEYS}/${wide.id}/rotate`, { body: {} })).toEqual([404]);
    expect(await scoped.refused('delete', `${KEYS}/${wide.id}`, { ifMatch: '"r1"' })).toEqual([404]);
    // wider administrators remain, so the scoped one may go, and it goes by its own hand
    const self = items.find(({ id }) => id !== narrow.id)!;
    expect((await scoped.call('delete', `${KEYS}/${self.id}`, { ifMatch: '"r1"' })).status).toBe(200);
    expect(await statusOf(scoped)).toBe(401);
  });
});

describe('the organisation', () => {
  it('is read by everybody and renamed by an administrator', async () => {
    const owner = await Operator.of(test, 'Old name');
    const { etag, body } = await owner.admin.call<{ id: string }>('get', '/v1/organisation');
    expect(body).toMatchObject({ id: owner.organisationId, name: 'Old name', revision: 1 });
    const rename = (client: ApiClient, name: unknown, ifMatch?: string) =>
      client.call('patch', '/v1/organisation', {
        body: { name },
        ...(ifMatch === undefined ? {} : { ifMatch }),
      });
    const technician = await owner.colleague('technician');
    expect(await technician.ok('get', '/v1/organisation')).toEqual(body);
    expect((await rename(technician, 'X', etag)).status).toBe(403);
    expect((await rename(owner.admin, 'X')).status).toBe(428);
    for (const name of ['', null, 7, 'x'.repeat(201)]) {
      expect((await rename(owner.admin, name, etag)).status).toBe(422);
    }
    expect(
      await owner.admin.refused('patch', '/v1/organisation', { body: { id: 'x' }, ifMatch: etag }),
    ).toEqual([422, '#/id']);
    expect(await rename(owner.admin, 'New name', etag)).toMatchObject({
      status: 200,
      body: { name: 'New name' },
    });
    expect((await rename(owner.admin, 'Newer name', etag)).status).toBe(412);
    expect(await rename(owner.admin, 'New name', '"r2"')).toMatchObject({ body: { revision: 2 } });
    const entries = await owner.sql(
      `SELECT before, after FROM audit_entries WHERE subject_type = 'organisation'`,
    );
    expect(entries).toMatchObject([{ before: { name: 'Old name' }, after: { name: 'New name' } }]);
    expect(await admin.ok('get', '/v1/organisation')).toMatchObject({
      name: 'Tarn Valley Patient Transport',
    });
  });
});
