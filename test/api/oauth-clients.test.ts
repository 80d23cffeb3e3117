import type {
  OAuthClientDto,
  OAuthClientPageDto,
  OAuthClientWithSecretDto,
} from '../../src/modules/oauth-clients/dto/oauth-client.dto';
import { parseClientId } from '../../src/platform/security/oauth-client-id';
import { scopes } from '../../src/platform/security/scope';
import { addKey, apiClient, type ApiClient } from '../support/api-client';
import { askToken, formOf, tokenOf, type HeldClient } from '../support/oauth-client';
import { Operator } from '../support/operator';
import { formsOf, tablesWith } from '../support/tables-with';
import { startTestApp, type TestApp } from '../support/test-app';

const CLIENTS = '/v1/oauth-clients';
const HOUR_MS = 3_600_000;

let test: TestApp;
let operator: Operator;
let admin: ApiClient;
beforeAll(async () => {
  test = await startTestApp({ tokensPerMinute: 10_000, signInsPerMinute: 10_000 });
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  admin = operator.admin;
});
afterAll(() => test.close());

const make = (body: object = {}, client = admin) =>
  client.ok<OAuthClientWithSecretDto>('post', CLIENTS, {
    body: { name: 'dealer link', role: 'dealer-system', ...body },
  });
const held = ({ id, clientId, clientSecret }: OAuthClientWithSecretDto): HeldClient => ({
  id,
  clientId,
  clientSecret: clientSecret ?? '',
});
const signsIn = async (client: HeldClient) => (await askToken(test, formOf(client))).status;
const statusOf = async (client: ApiClient) => (await client.call('get', '/v1/organisation')).status;

describe('making a client', () => {
  it('shows its secret once, and it signs in at once', async () => {
    const made = await admin.call<OAuthClientWithSecretDto>('post', CLIENTS, {
      body: { name: 'night run', role: 'dealer-system' },
    });
    expect(made).toMatchObject({ status: 201, etag: '"r1"' });
    const { clientSecret, ...rest } = made.body;
    // 256 random bits
    expect(clientSecret).toMatch(/^[\w-]{43}$/);
    expect(parseClientId(rest.clientId)).toEqual({ organisationId: operator.organisationId, id: rest.id });
    expect(rest).toMatchObject({
      name: 'night run',
      role: 'dealer-system',
      scopes: ['read', 'write'],
      fleetIds: null,
      workshopIds: null,
      previousSecretEndsAt: null,
      revokedAt: null,
    });
    expect(await signsIn(held(made.body))).toBe(200);

    expect(await admin.ok('get', `${CLIENTS}/${rest.id}`)).toEqual(rest);
    const { items } = await admin.ok<OAuthClientPageDto>('get', `${CLIENTS}?limit=500`);
    expect(items).toContainEqual(rest);
    const entries = await operator.sql(`SELECT action, after FROM audit_entries WHERE subject_id = $1`, [
      rest.id,
    ]);
    expect(entries).toMatchObject([{ action: 'created', after: rest }]);
  });

  it('leaves the secret nowhere in the database, repeated or rotated', async () => {
    const request = { body: { name: 'once', role: 'dealer-system' }, idempotencyKey: 'one-client' };
    const made = await admin.ok<OAuthClientWithSecretDto>('post', CLIENTS, request);
    const repeated = await admin.ok('post', CLIENTS, request);
    expect(repeated).toEqual({ ...made, clientSecret: null });
    const rotation = { body: {}, idempotencyKey: 'one-rotation' };
    const rotate = () => admin.ok<OAuthClientWithSecretDto>('post', `${CLIENTS}/${made.id}/rotate`, rotation);
    const rotated = await rotate();
    expect(await rotate()).toEqual({ ...rotated, clientSecret: null });
    expect(await signsIn(held(rotated))).toBe(200);
    for (const { clientSecret, id } of [made, rotated]) {
      expect(clientSecret).toMatch(/^[\w-]{43}$/);
      expect(await tablesWith(operator, ...formsOf(clientSecret ?? ''))).toEqual([]);
      // the search does find what is there
      expect(await tablesWith(operator, id)).toContain('public.oauth_clients');
    }
  });

  it('keeps the private key that signs under a seal', async () => {
    await tokenOf(test, held(await make()));
    const keys = await operator.sql<{ sealed: string; public_jwk: object }>(
      `SELECT encode(sealed_private_key, 'escape') AS sealed, public_jwk FROM app.signing_keys`,
    );
    expect(keys).toHaveLength(1);
    expect(Object.keys(keys[0]!.public_jwk).sort()).toEqual(['crv', 'kty', 'x', 'y']);
    expect(keys[0]!.sealed).not.toContain('PRIVATE KEY');
    expect(await tablesWith(operator, 'PRIVATE KEY', Buffer.from('PRIVATE KEY').toString('hex'))).toEqual([]);
  });

  it('names every bad field', async () => {
    const stranger = await Operator.of(test, 'Another operator');
    const foreign = await stranger.fleet('theirs');
    const refused = (body: object) =>
      admin.refused('post', CLIENTS, { body: { name: 'n', role: 'technician', ...body } });
    expect(await admin.refused('post', CLIENTS, { body: {} })).toEqual(
      expect.arrayContaining([422, '#/name', '#/role']),
    );
    expect(await refused({ role: 'owner' })).toEqual([422, '#/role']);
    expect(await refused({ secret: 's' })).toEqual([422, '#/secret']);
    for (const bad of [[], 'read', ['read', 'read'], ['everything'], ['manage-access'], null]) {
      expect([bad, ...new Set(await refused({ scopes: bad }))]).toEqual([bad, 422, '#/scopes']);
    }
    expect([...new Set(await refused({ fleetIds: [foreign] }))]).toEqual([422, '#/fleetIds']);
    expect(await refused({ workshopIds: [foreign] })).toEqual([422, '#/workshopIds']);
    expect(await admin.refused('get', `${CLIENTS}/${foreign}`)).toEqual([404]);
    const [first] = (await admin.ok<OAuthClientPageDto>('get', CLIENTS)).items;
    expect(await stranger.admin.refused('get', `${CLIENTS}/${first!.id}`)).toEqual([404]);
  });

  it('gives an administrator who is not limited every scope, and no other role the one on access', async () => {
    expect((await make({ role: 'administrator' })).scopes).toEqual([...scopes]);
    for (const role of ['fleet-planner', 'front-desk', 'technician', 'dealer-system'])
      expect((await make({ role })).scopes).toEqual(['read', 'write']);
  });
});

describe('rotating a secret', () => {
  const rotate = (id: string, body: object = {}) =>
    admin.call<OAuthClientWithSecretDto>('post', `${CLIENTS}/${id}/rotate`, { body });

  it('lets both sign in during the overlap, and audits it', async () => {
    const made = await make();
    const { status, body } = await rotate(made.id);
    expect(status).toBe(200);
    expect(body).toMatchObject({ id: made.id, clientId: made.clientId, revision: 2 });
    expect(body.secretId).not.toBe(made.secretId);
    const overlapMs = Date.parse(body.previousSecretEndsAt ?? '') - Date.now();
    expect(Math.abs(overlapMs - 24 * HOUR_MS)).toBeLessThan(60_000);
    expect([await signsIn(held(made)), await signsIn(held(body))]).toEqual([200, 200]);
    const entries = await operator.sql(
      `SELECT before, after FROM audit_entries WHERE subject_id = $1 AND action = 'rotated'`,
      [made.id],
    );
    expect(entries).toMatchObject([
      { before: { secretId: made.secretId }, after: { secretId: body.secretId } },
    ]);
  });

  it('ends the old one at once without an overlap; a token that it got goes on', async () => {
    const made = await make();
    const client = apiClient(test, await tokenOf(test, held(made)));
    const { body } = await rotate(made.id, { overlapHours: 0 });
    expect([await signsIn(held(made)), await signsIn(held(body))]).toEqual([401, 200]);
    expect(await statusOf(client)).toBe(200);
  });

  it('accepts two secrets at the most', async () => {
    const first = await make();
    const second = (await rotate(first.id)).body;
    const third = (await rotate(first.id)).body;
    expect(await Promise.all([first, second, third].map((each) => signsIn(held(each))))).toEqual([
      401, 200, 200,
    ]);
  });

  it('ends the old one when the overlap is over', async () => {
    const made = await make();
    const { body } = await rotate(made.id, { overlapHours: 1 });
    expect([await signsIn(held(made)), await signsIn(held(body))]).toEqual([200, 200]);
    await operator.sql(
      `UPDATE oauth_clients SET previous_secret_ends_at = now() - interval '1 ms' WHERE id = $1`,
      [made.id],
    );
    expect([await signsIn(held(made)), await signsIn(held(body))]).toEqual([401, 200]);
  });

  it('refuses an overlap that is none, and a client that is revoked', async () => {
    const { id } = await make();
    for (const overlapHours of [-1, 169, 1.5, '24', null]) {
      const answer = await admin.refused('post', `${CLIENTS}/${id}/rotate`, { body: { overlapHours } });
      expect([...new Set(answer)]).toEqual([422, '#/overlapHours']);
    }
    await admin.ok('delete', `${CLIENTS}/${id}`, { ifMatch: '"r1"' });
    expect((await rotate(id)).status).toBe(409);
  });
});

describe('revoking a client', () => {
  it('refuses its tokens with the next request, and its secret', async () => {
    const made = await make({ role: 'administrator' });
    const client = apiClient(test, await tokenOf(test, held(made)));
    expect(await statusOf(client)).toBe(200);
    const remove = (ifMatch?: string) =>
      admin.call<OAuthClientDto>('delete', `${CLIENTS}/${made.id}`, ifMatch === undefined ? {} : { ifMatch });
    expect((await remove()).status).toBe(428);
    expect((await remove('"r9"')).status).toBe(412);
    expect(await statusOf(client)).toBe(200);
    const revoked = await remove('"r1"');
    expect(revoked).toMatchObject({ status: 200, etag: '"r2"' });
    expect(revoked.body.revokedAt).not.toBeNull();
    // reads in one statement, in several, and calculations that read nothing
    for (const [method, path] of [
      ['get', '/v1/organisation'],
      ['get', '/v1/due-items'],
      ['post', '/v1/calculations/hydraulic-layout'],
    ] as const) {
      const answer = await client.call<{ type: string }>(
        method,
        path,
        method === 'post' ? { body: LAYOUT } : {},
      );
      expect([path, answer.status, answer.body.type]).toEqual([path, 401, '/problems/key-not-valid']);
    }
    expect(await signsIn(held(made))).toBe(401);
    expect((await remove('"r2"')).body).toEqual(revoked.body);

    const listed = async (query: string) =>
      (await admin.ok<OAuthClientPageDto>('get', `${CLIENTS}?limit=500${query}`)).items.map(({ id }) => id);
    expect(await listed('')).not.toContain(made.id);
    expect(await listed('&includeRevoked=true')).toContain(made.id);
  });
});

const LAYOUT = {
  pumpKind: 'split',
  antiSinkValves: 'unverified',
  rearBrakeAccumulator: 'unverified',
  steeringSupply: 'unverified',
  steeringRegulator: 'unverified',
};

describe('a client that is limited to fleets', () => {
  it('sees only them, and is named in the audit trail', async () => {
    const owner = await Operator.of(test, 'Operator of two fleets');
    const [own, other] = [await owner.fleet('own'), await owner.fleet('other')];
    const [ownDepot, otherDepot] = [await owner.depot(own, 'own'), await owner.depot(other, 'other')];
    const vehicle = await owner.vehicle(ownDepot, 'O 1');
    const foreign = await owner.vehicle(otherDepot, 'O 2');
    const made = await make({ name: 'planner link', role: 'fleet-planner', fleetIds: [own] }, owner.admin);
    const client = apiClient(test, await tokenOf(test, held(made)));
    const seen = async (path: string) =>
      (await client.ok<{ items: { id: string }[] }>('get', path)).items.map(({ id }) => id);
    expect(await seen('/v1/fleets')).toEqual([own]);
    expect(await seen('/v1/vehicles')).toEqual([vehicle]);
    expect(await client.refused('get', `/v1/vehicles/${foreign}`)).toEqual([404]);
    const hold = { body: { reason: 'pedal sinks' } };
    expect(await client.refused('post', `/v1/vehicles/${foreign}/holds`, hold)).toEqual([404]);
    const { id } = await client.ok<{ id: string }>('post', `/v1/vehicles/${vehicle}/holds`, hold);
    const entries = await owner.sql(`SELECT actor FROM audit_entries WHERE subject_id = $1`, [id]);
    expect(entries).toEqual([{ actor: `planner link (client ${made.id})` }]);
  });

  it('cannot widen itself, nor reach a client that sees more', async () => {
    const owner = await Operator.of(test, 'Operator with a fleet administrator');
    const [own, other] = [await owner.fleet('own'), await owner.fleet('other')];
    const wide = await make({ role: 'administrator' }, owner.admin);
    const scoped = apiClient(
      test,
      await tokenOf(test, held(await make({ role: 'administrator', fleetIds: [own] }, owner.admin))),
    );
    const refused = (body: object) =>
      scoped.refused('post', CLIENTS, { body: { name: 'n', role: 'administrator', ...body } });
    expect(await refused({})).toEqual([422, '#/fleetIds']);
    expect(await refused({ fleetIds: [other] })).toEqual([422, '#/fleetIds']);
    const { items } = await scoped.ok<OAuthClientPageDto>('get', CLIENTS);
    expect(items.map(({ id }) => id)).not.toContain(wide.id);
    expect(await scoped.refused('get', `${CLIENTS}/${wide.id}`)).toEqual([404]);
    expect(await scoped.refused('post', `${CLIENTS}/${wide.id}/rotate`, { body: {} })).toEqual([404]);
    expect(await scoped.refused('delete', `${CLIENTS}/${wide.id}`, { ifMatch: '"r1"' })).toEqual([404]);
    const key = apiClient(test, await addKey(test, owner.organisation, 'administrator', [own]));
    expect(await key.refused('get', `${CLIENTS}/${wide.id}`)).toEqual([404]);
    expect((await make({ role: 'administrator', fleetIds: [own] }, scoped)).fleetIds).toEqual([own]);
  });
});
