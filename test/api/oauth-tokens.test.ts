import { randomUUID } from 'node:crypto';
import { decodeJwt, decodeProtectedHeader, importJWK, jwtVerify, type JSONWebKeySet } from 'jose';
import { scopes } from '../../src/platform/security/scope';
import { SigningKeys } from '../../src/platform/security/signing-keys';
import { addKey, apiClient } from '../support/api-client';
import { guardedOperationsOf, isForSessionsOnly, readContract } from '../support/contract-check';
import { countStatements } from '../support/count-statements';
import { askToken, formOf, tokenOf, type HeldClient } from '../support/oauth-client';
import { Operator } from '../support/operator';
import { send, type Sent } from '../support/send';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';

// RFC 6749 (OAuth 2), RFC 7617 (HTTP Basic), RFC 8414 (metadata), RFC 9068 (JWT access tokens).

const ISSUER = 'https://precharge.example';
const PLENTY = 100_000;
const DAY_MS = 86_400_000;

let test: TestApp;
let operator: Operator;
let client: HeldClient;
beforeAll(async () => {
  test = await startTestApp({ publicUrl: ISSUER, tokensPerMinute: PLENTY, signInsPerMinute: PLENTY });
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  client = await made();
});
afterAll(() => test.close());
afterEach(() => test.setNow(TEST_NOW));

const made = (body: object = {}): Promise<HeldClient> =>
  operator.admin.ok('post', '/v1/oauth-clients', {
    body: { name: 'dealer link', role: 'dealer-system', ...body },
  });
const basic = (id: string, secret: string): Record<string, string> => ({
  authorization: `Basic ${Buffer.from(`${id}:${secret}`).toString('base64')}`,
});
const GRANT = { grant_type: 'client_credentials' };
const outcomeOf = ({ status, body }: Sent): unknown[] => [status, body.error];

describe('a token', () => {
  it('is given for the secret in the form, or as HTTP Basic (RFC 6749, 4.4.2 and 2.3.1)', async () => {
    for (const answer of [
      await askToken(test, formOf(client)),
      await askToken(test, GRANT, basic(client.clientId, client.clientSecret)),
      // its two parts may be encoded like a form
      await askToken(test, GRANT, basic(client.clientId.replace('_', '%5F'), client.clientSecret)),
      await askToken(
        test,
        { ...GRANT, client_id: client.clientId },
        basic(client.clientId, client.clientSecret),
      ),
    ]) {
      expect(answer.status).toBe(200);
      // RFC 6749, 5.1
      expect(answer.headers).toMatchObject({
        'content-type': 'application/json; charset=utf-8',
        'cache-control': 'no-store',
        pragma: 'no-cache',
      });
      expect(answer.body).toEqual({
        access_token: expect.any(String) as string,
        token_type: 'Bearer',
        expires_in: 600,
        scope: 'read write',
      });
      expect(await apiClient(test, String(answer.body.access_token)).ok('get', '/v1/vehicles')).toEqual({
        items: [],
        next: null,
      });
    }
  });

  it('has the claims of RFC 9068, section 2.2', async () => {
    const token = await tokenOf(test, client);
    const now = TEST_NOW / 1_000;
    expect(decodeProtectedHeader(token)).toEqual({
      alg: 'ES256',
      typ: 'at+jwt',
      kid: expect.any(String) as string,
    });
    expect(decodeJwt(token)).toEqual({
      iss: ISSUER,
      aud: `${ISSUER}/v1`,
      sub: client.clientId,
      client_id: client.clientId,
      iat: now,
      nbf: now,
      exp: now + 600,
      jti: expect.any(String) as string,
      scope: 'read write',
      roles: ['dealer-system'],
      name: 'dealer link',
    });
    const ids = [token, await tokenOf(test, client)].map((each) => decodeJwt(each).jti);
    expect(new Set(ids).size).toBe(2);
  });

  it('is verified with the published keys by whoever finds them by the metadata (RFC 8414)', async () => {
    const token = await tokenOf(test, client);
    const metadata = await send(test, 'GET', '/.well-known/oauth-authorization-server');
    expect(metadata.body).toMatchObject({
      issuer: ISSUER,
      token_endpoint: `${ISSUER}/v1/oauth/token`,
      scopes_supported: [...scopes],
      grant_types_supported: ['client_credentials'],
      token_endpoint_auth_methods_supported: ['client_secret_basic', 'client_secret_post'],
    });
    const keys = await send(test, 'GET', String(metadata.body.jwks_uri).replace(ISSUER, ''));
    const [key] = (keys.body as unknown as JSONWebKeySet).keys;
    // RFC 7517: nothing of the private key
    expect(Object.keys(key!).sort()).toEqual(['alg', 'crv', 'kid', 'kty', 'use', 'x', 'y']);
    expect(key).toMatchObject({ kid: decodeProtectedHeader(token).kid, alg: 'ES256', use: 'sig' });
    const verified = await jwtVerify(token, await importJWK(key!), { currentDate: new Date(TEST_NOW) });
    expect(verified.payload.client_id).toBe(client.clientId);
  });

  it('is good for what was asked, and no more than the client has', async () => {
    const scopeOf = async (asked: string, of = client) => (await askToken(test, formOf(of, asked))).body;
    expect(await scopeOf('write read')).toMatchObject({ scope: 'read write' });
    expect(await scopeOf('read')).toMatchObject({ scope: 'read' });
    // an empty parameter counts as left out (RFC 6749, 3.2)
    expect(await scopeOf('')).toMatchObject({ scope: 'read write' });
    for (const asked of ['manage-access', 'read manage-access', 'everything', 'READ', 'read  write', ' read'])
      expect([asked, (await scopeOf(asked)).error]).toEqual([asked, 'invalid_scope']);
    const reader = await made({ scopes: ['read'] });
    expect(await scopeOf('write', reader)).toMatchObject({ error: 'invalid_scope' });
    const reads = apiClient(test, await tokenOf(test, reader));
    expect((await reads.call('get', '/v1/fleets')).status).toBe(200);
    expect(await reads.refused('post', '/v1/fleets', { body: { name: 'Mine' } })).toEqual([403]);
  });

  it('ends after ten minutes and half a minute for clocks that differ', async () => {
    const statusAt = async (token: string, seconds: number) => {
      test.setNow(TEST_NOW + seconds * 1_000);
      const answer = await send(test, 'GET', '/v1/organisation', { key: token });
      test.setNow(TEST_NOW);
      return [answer.status, answer.body.type];
    };
    // a token of its own each time, because a process remembers for a while whom one belongs to
    expect((await statusAt(await tokenOf(test, client), 599))[0]).toBe(200);
    expect((await statusAt(await tokenOf(test, client), 629))[0]).toBe(200);
    expect(await statusAt(await tokenOf(test, client), 630)).toEqual([401, '/problems/token-not-valid']);
    expect((await statusAt(await tokenOf(test, client), -30))[0]).toBe(200);
    expect(await statusAt(await tokenOf(test, client), -31)).toEqual([401, '/problems/token-not-valid']);
  });

  it('costs no statement more than a key', async () => {
    const key = await addKey(test, operator.organisation, 'dealer-system');
    const token = await tokenOf(test, client);
    for (const path of ['/v1/vehicles', '/v1/organisation', '/v1/fleets']) {
      const counted: number[] = [];
      for (const credential of [key, token]) {
        await send(test, 'GET', path, { key: credential });
        const { statements } = await countStatements(() => send(test, 'GET', path, { key: credential }));
        counted.push(statements);
      }
      expect([path, counted[1]]).toEqual([path, counted[0]]);
      expect(counted[0]).toBeGreaterThan(0);
    }
    const fresh = await tokenOf(test, client);
    const { statements } = await countStatements(() => send(test, 'GET', '/v1/vehicles', { key: fresh }));
    const { statements: again } = await countStatements(() =>
      send(test, 'GET', '/v1/vehicles', { key: fresh }),
    );
    // not even the first time
    expect(statements).toBe(again);
  });
});

describe('refusals of the token endpoint (RFC 6749, section 5.2)', () => {
  it.each<[string, Record<string, string> | string, unknown[]]>([
    ['no grant type', {}, [400, 'invalid_request']],
    ['an empty one', { grant_type: '' }, [400, 'invalid_request']],
    ['two', 'grant_type=client_credentials&grant_type=client_credentials', [400, 'invalid_request']],
    ['another', { grant_type: 'password', username: 'a', password: 'b' }, [400, 'unsupported_grant_type']],
    ['a refresh token', { grant_type: 'refresh_token' }, [400, 'unsupported_grant_type']],
    ['nobody', GRANT, [401, 'invalid_client']],
    ['no form at all', '', [400, 'invalid_request']],
    ['an endless secret', { ...GRANT, client_secret: 'a'.repeat(201) }, [400, 'invalid_request']],
  ])('%s', async (_, form, outcome) => {
    const answer = await askToken(test, form);
    expect(outcomeOf(answer)).toEqual(outcome);
    expect(answer.headers).toMatchObject({
      'content-type': 'application/json; charset=utf-8',
      'cache-control': 'no-store',
    });
    expect(Object.keys(answer.body).sort()).toEqual(['error', 'error_description']);
    // the characters that section 5.2 allows
    expect(answer.body.error_description).toMatch(/^[\x20-\x21\x23-\x5b\x5d-\x7e]+$/);
  });

  it('a client that does not prove who it is: always the same words', async () => {
    const stranger = await made();
    const { clientId, clientSecret } = client;
    const unknown = `oc_${Buffer.alloc(32, 7).toString('base64url')}`;
    const answers = await Promise.all([
      askToken(test, formOf({ ...client, clientSecret: stranger.clientSecret })),
      askToken(test, formOf({ ...client, clientSecret: clientSecret.slice(0, -1) })),
      askToken(test, formOf({ ...client, clientSecret: clientSecret.toLowerCase() })),
      askToken(test, formOf({ ...client, clientId: unknown })),
      askToken(test, formOf({ ...client, clientId: `${clientId}A` })),
      askToken(test, formOf({ ...client, clientId: client.id })),
      askToken(test, GRANT, basic(clientId, stranger.clientSecret)),
      askToken(test, GRANT, basic(unknown, clientSecret)),
    ]);
    const [{ body: first }] = answers;
    expect(first.error).toBe('invalid_client');
    for (const { status, body, headers } of answers) {
      expect([status, body]).toEqual([401, first]);
      expect(headers['www-authenticate']).toMatch(/^Basic realm=/);
    }
  });

  it('an Authorization header that is no HTTP Basic', async () => {
    const key = operator.organisation.administratorKey;
    for (const authorization of [
      'Basic',
      'Basic !!!',
      'Basic ',
      `Basic ${Buffer.from('no colon').toString('base64')}`,
      `Basic ${Buffer.from(`:${client.clientSecret}`).toString('base64')}`,
      `Bearer ${key}`,
      `Bearer ${await tokenOf(test, client)}`,
    ])
      expect(outcomeOf(await askToken(test, GRANT, { authorization }))).toEqual([401, 'invalid_client']);
  });

  it('two ways of signing in at once', async () => {
    const header = basic(client.clientId, client.clientSecret);
    expect(outcomeOf(await askToken(test, formOf(client), header))).toEqual([400, 'invalid_request']);
    const other = await made();
    const named = { ...GRANT, client_id: other.clientId };
    expect(outcomeOf(await askToken(test, named, header))).toEqual([400, 'invalid_request']);
  });

  it('an unknown parameter is none (RFC 6749, 3.2)', async () => {
    expect((await askToken(test, { ...formOf(client), resource: 'x', audience: 'y' })).status).toBe(200);
  });

  it('what is no form is a problem document, here as elsewhere', async () => {
    const json = JSON.stringify({ ...GRANT, client_id: client.clientId });
    for (const [type, body] of [
      ['application/json', json],
      ['application/json;', 'grant_type=client_credentials'],
      ['text/xml', '<grant/>'],
      ['text/csv', 'grant_type'],
      ['multipart/form-data; boundary=x', '--x--'],
    ]) {
      const answer = await askToken(test, body!, { 'content-type': type! });
      expect([type, answer.status, answer.body.type]).toEqual([
        type,
        415,
        '/problems/unsupported-media-type',
      ]);
      expect(answer.headers['x-request-id']).toBe(answer.body.requestId);
    }
  });

  it('a form is read nowhere else', async () => {
    const answer = await send(test, 'POST', '/v1/fleets', {
      key: operator.organisation.administratorKey,
      headers: { 'content-type': 'application/x-www-form-urlencoded' },
      body: 'name=Patient+transport',
    });
    expect([answer.status, answer.body.type]).toEqual([415, '/problems/unsupported-media-type']);
  });
});

describe('scopes', () => {
  it('open exactly the operations that the contract lists them for', async () => {
    const owner = await Operator.of(test, 'Operator of a scoped client');
    const body = { name: 'scoped', role: 'administrator' };
    const scoped = await owner.admin.ok<HeldClient>('post', '/v1/oauth-clients', { body });
    const wrong: string[] = [];
    const opened = new Set<string>();
    for (const { method, path, operation } of guardedOperationsOf(readContract())) {
      // a token opens no session of a person, whatever its scope
      if (isForSessionsOnly(operation)) continue;
      const needed = operation.security?.[1]?.oauth2?.[0] ?? '';
      // ids that do not exist: a scope that suffices gets as far as that, or to the body
      const url = path.replace(/\{\w+\}/g, () => randomUUID());
      for (const scope of scopes) {
        const key = await tokenFor(scoped, scope);
        const answer = await send(test, method, url, { key, ...(method === 'GET' ? {} : { body: '{}' }) });
        const refused = answer.text.includes('/problems/insufficient-scope');
        const told = answer.headers['www-authenticate'];
        if (scope === needed && !refused && ![401, 403].includes(answer.status)) opened.add(needed);
        else if (scope === needed || !refused || answer.status !== 403 || told !== challenge(needed))
          wrong.push(`${scope} ${method} ${path}: ${answer.status} ${told ?? ''}`);
      }
    }
    expect(wrong).toEqual([]);
    expect([...opened].sort()).toEqual([...scopes].sort());
  });

  // RFC 6750, section 3.1
  const challenge = (scope: string): string => `Bearer error="insufficient_scope", scope="${scope}"`;
  const tokens = new Map<string, Promise<string>>();
  const tokenFor = (held: HeldClient, scope: string): Promise<string> => {
    if (!tokens.has(scope)) tokens.set(scope, tokenOf(test, held, scope));
    return tokens.get(scope)!;
  };
});

describe('the key that signs', () => {
  const keyIdOf = async (): Promise<string | undefined> =>
    decodeProtectedHeader(await tokenOf(test, client)).kid;

  it('does so for 90 days; then whoever signs next makes another one', async () => {
    const first = await keyIdOf();
    const keys = test.app.get(SigningKeys);
    test.setNow(TEST_NOW + 90 * DAY_MS - 1);
    expect(await keyIdOf()).toBe(first);
    test.setNow(TEST_NOW + 90 * DAY_MS);
    // several at once make one
    const [second, ...others] = await Promise.all([keyIdOf(), keyIdOf(), keyIdOf(), keyIdOf()]);
    expect(second).not.toBe(first);
    expect(new Set([second, ...others]).size).toBe(1);
    // tokens of the first are accepted until they end
    expect((await keys.publicKeys()).map(({ kid }) => kid).sort()).toEqual([first, second].sort());
    test.setNow(TEST_NOW + 90 * DAY_MS + 631_000);
    expect((await keys.publicKeys()).map(({ kid }) => kid)).toEqual([second]);
  });

  it('is not read under another secret of the installation: rotating it helps', async () => {
    await keyIdOf();
    const lines: string[] = [];
    const moved = { ...test, database: { ...test.database, secret: 'another secret'.repeat(3) } };
    const other = await startTestApp(
      { publicUrl: ISSUER, tokensPerMinute: PLENTY, signInsPerMinute: PLENTY, logLevel: 'error' },
      { beside: moved, log: { write: (line) => lines.push(line) } },
    );
    try {
      const refused = await askToken(other, formOf(client));
      expect([refused.status, refused.body.type]).toEqual([500, '/problems/internal-error']);
      expect(lines.join('')).toContain('npm run keys:rotate');
      await other.app.get(SigningKeys).rotate('until-they-end');
      expect((await askToken(other, formOf(client))).status).toBe(200);
    } finally {
      await other.close();
    }
  });
});
