import {
  createHmac,
  createPrivateKey,
  createPublicKey,
  generateKeyPairSync,
  randomUUID,
  sign,
  type KeyObject,
} from 'node:crypto';
import { decodeJwt, decodeProtectedHeader, type JWK } from 'jose';
import { formatClientId } from '../../src/platform/security/oauth-client-id';
import { openSecret } from '../../src/platform/security/sealed-secret';
import { SigningKeys } from '../../src/platform/security/signing-keys';
import { tokenOf, type HeldClient } from '../support/oauth-client';
import { Operator } from '../support/operator';
import { send } from '../support/send';
import { startTestApp, TEST_NOW, type TestApp } from '../support/test-app';
import { TEST_SECRET } from '../support/test-secret';

// Attacks on JWTs: RFC 8725 (JSON Web Token Best Current Practices) by its sections, and RFC 9068, section 4. Every
// forgery is one change away from a token that is accepted.

const ISSUER = 'https://precharge.example';
const NOW = TEST_NOW / 1_000;

let test: TestApp;
let operator: Operator;
let client: HeldClient;
/** the key that the service signs with, and its public half as anybody can get it */
let keyId: string;
let privateKey: KeyObject;
let publicJwk: JWK;

beforeAll(async () => {
  test = await startTestApp({ publicUrl: ISSUER, tokensPerMinute: 100_000, signInsPerMinute: 100_000 });
  operator = await Operator.of(test, 'Tarn Valley Patient Transport');
  client = await operator.admin.ok('post', '/v1/oauth-clients', {
    body: { name: 'dealer link', role: 'dealer-system' },
  });
  await rotated('until-they-end');
});
afterAll(() => test.close());

/** Another signing key of the service, and what it is. */
async function rotated(tokensBefore: 'until-they-end' | 'refused'): Promise<void> {
  const keys = test.app.get(SigningKeys);
  keyId = await keys.rotate(tokensBefore);
  const [row] = await operator.sql<{ sealed: Buffer }>(
    `SELECT sealed_private_key AS sealed FROM app.signing_keys WHERE key_id = $1`,
    [keyId],
  );
  const pem = openSecret(TEST_SECRET, `private key of signing key ${keyId}`, row!.sealed);
  privateKey = createPrivateKey(pem);
  publicJwk = (await keys.publicKeys()).find(({ kid }) => kid === keyId)!;
}

type Json = Record<string, unknown>;
const encoded = (json: unknown): string => Buffer.from(JSON.stringify(json)).toString('base64url');

const header = (): Json => ({ alg: 'ES256', typ: 'at+jwt', kid: keyId });
const claims = (): Json => ({
  iss: ISSUER,
  aud: `${ISSUER}/v1`,
  sub: client.clientId,
  client_id: client.clientId,
  iat: NOW,
  nbf: NOW,
  exp: NOW + 600,
  jti: randomUUID(),
  scope: 'read write',
  roles: ['dealer-system'],
  name: 'dealer link',
});
const without = (json: Json, name: string): Json =>
  Object.fromEntries(Object.entries(json).filter(([each]) => each !== name));

// made by hand, so that a library that refuses to make a bad token is not in the way
function signed(head: Json, payload: unknown, key = privateKey, hash = 'sha256'): string {
  const input = `${encoded(head)}.${encoded(payload)}`;
  const signature = sign(hash, Buffer.from(input), { key, dsaEncoding: 'ieee-p1363' });
  return `${input}.${signature.toString('base64url')}`;
}

function hmacSigned(head: Json, secret: string | Buffer): string {
  const input = `${encoded(head)}.${encoded(claims())}`;
  return `${input}.${createHmac('sha256', secret).update(input).digest('base64url')}`;
}

async function answerTo(token: string): Promise<unknown[]> {
  const { status, body, headers } = await send(test, 'GET', '/v1/vehicles', { key: token });
  return [status, body.type, headers['www-authenticate']];
}
const ACCEPTED = [200, undefined, undefined];
const REFUSED = [401, '/problems/token-not-valid', 'Bearer error="invalid_token"'];

it('without a change the token is accepted', async () => {
  const ours = await tokenOf(test, client);
  expect(decodeProtectedHeader(ours)).toEqual(header());
  expect(Object.keys(decodeJwt(ours)).sort()).toEqual(Object.keys(claims()).sort());
  expect(await answerTo(ours)).toEqual(ACCEPTED);
  expect(await answerTo(signed(header(), claims()))).toEqual(ACCEPTED);
  // RFC 9068, section 4: the prefix of a media type may be written out
  expect(await answerTo(signed({ ...header(), typ: 'application/at+jwt' }, claims()))).toEqual(ACCEPTED);
});

describe('the algorithm (RFC 8725, 2.1 and 3.1)', () => {
  it.each(['none', 'None', 'NONE', 'nOnE', ''])('"%s" is no signature', async (alg) => {
    const [, , signature = ''] = signed(header(), claims()).split('.');
    const input = `${encoded({ ...header(), alg })}.${encoded(claims())}`;
    for (const end of ['', signature]) expect(await answerTo(`${input}.${end}`)).toEqual(REFUSED);
  });

  it('the public key is no secret to sign with', async () => {
    const key = createPublicKey({ key: publicJwk, format: 'jwk' });
    const { kty, crv, x, y } = publicJwk;
    const secrets: (string | Buffer)[] = [
      key.export({ type: 'spki', format: 'pem' }),
      key.export({ type: 'spki', format: 'pem' }).toString().trim(),
      key.export({ type: 'spki', format: 'der' }),
      JSON.stringify(publicJwk),
      JSON.stringify({ crv, kty, x, y }),
      Buffer.concat([Buffer.from(x!, 'base64url'), Buffer.from(y!, 'base64url')]),
      Buffer.from(x!, 'base64url'),
      '',
    ];
    for (const secret of secrets)
      for (const alg of ['HS256', 'ES256'])
        expect(await answerTo(hmacSigned({ ...header(), alg }, secret))).toEqual(REFUSED);
  });

  it('no other algorithm is accepted, whoever signs', async () => {
    const p384 = generateKeyPairSync('ec', { namedCurve: 'P-384' }).privateKey;
    const rsa = generateKeyPairSync('rsa', { modulusLength: 2048 }).privateKey;
    const { privateKey: ed } = generateKeyPairSync('ed25519');
    const input = `${encoded({ ...header(), alg: 'EdDSA' })}.${encoded(claims())}`;
    const forged = [
      signed({ ...header(), alg: 'ES384' }, claims(), p384, 'sha384'),
      signed({ ...header(), alg: 'RS256' }, claims(), rsa),
      `${input}.${sign(null, Buffer.from(input), ed).toString('base64url')}`,
      // our own key under another name
      signed({ ...header(), alg: 'ES384' }, claims()),
      signed({ ...header(), alg: 'es256' }, claims()),
      signed({ ...header(), alg: ['ES256'] }, claims()),
      signed(without(header(), 'alg'), claims()),
    ];
    for (const token of forged) expect(await answerTo(token)).toEqual(REFUSED);
  });
});

describe('the key (RFC 8725, 2.9 and 3.10)', () => {
  const attacker = generateKeyPairSync('ec', { namedCurve: 'P-256' });
  const jwk = attacker.publicKey.export({ format: 'jwk' });

  it('somebody else’s is refused under our id, its own id, and none', async () => {
    const heads = [header(), { ...header(), kid: 'mine' }, without(header(), 'kid')];
    for (const head of heads)
      expect(await answerTo(signed(head, claims(), attacker.privateKey))).toEqual(REFUSED);
  });

  it('a key in the header, or an address of one, is not looked at', async () => {
    for (const more of [
      { jwk },
      { jwk, kid: undefined },
      { jwk: { ...jwk, kid: keyId } },
      { jku: 'https://attacker.example/jwks.json' },
      { x5u: 'https://attacker.example/cert.pem' },
      { x5c: [attacker.publicKey.export({ type: 'spki', format: 'der' }).toString('base64')] },
      { x5t: 'AAAA' },
    ])
      expect(await answerTo(signed({ ...header(), ...more }, claims(), attacker.privateKey))).toEqual(
        REFUSED,
      );
    // nor does it disturb a token that our key signed
    expect(await answerTo(signed({ ...header(), jwk }, claims()))).toEqual(ACCEPTED);
  });

  it.each<[string, unknown]>([
    ['unknown', 'AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA'],
    ['SQL', "' OR retires_at IS NULL --"],
    ['a path', '../../../../dev/null'],
    ['a command', '$(id)'],
    ['a member of every object', '__proto__'],
    ['another', 'constructor'],
    ['a list', ['x']],
    ['a number', 1],
    ['null', null],
    ['empty', ''],
    ['with a null character', 'x\u0000'],
  ])('a key id that is %s finds no key', async (_, kid) => {
    expect(await answerTo(signed({ ...header(), kid }, claims()))).toEqual(REFUSED);
    expect(await answerTo(signed({ ...header(), kid }, claims(), attacker.privateKey))).toEqual(REFUSED);
  });

  it('one that has retired is refused; before that its tokens are accepted until they end', async () => {
    const [oldKey, oldHead] = [privateKey, header()];
    await rotated('until-they-end');
    expect(header()).not.toEqual(oldHead);
    expect(await answerTo(signed(oldHead, claims(), oldKey))).toEqual(ACCEPTED);
    // lifetime, leeway, and a second in which another process may have signed with it still
    test.setNow(TEST_NOW + 630_999);
    const late = { ...claims(), iat: NOW + 600, nbf: NOW + 600, exp: NOW + 1_200 };
    expect(await answerTo(signed(oldHead, late, oldKey))).toEqual(ACCEPTED);
    test.setNow(TEST_NOW + 631_000);
    expect(await answerTo(signed(oldHead, { ...late, jti: 'after' }, oldKey))).toEqual(REFUSED);
    test.setNow(TEST_NOW);

    const [leakedKey, leakedHead] = [privateKey, header()];
    await rotated('refused');
    expect(await answerTo(signed(leakedHead, claims(), leakedKey))).toEqual(REFUSED);
    expect(await answerTo(signed(header(), claims()))).toEqual(ACCEPTED);
    // nobody can sign with it again
    const kept = await operator.sql(
      `SELECT FROM app.signing_keys WHERE sealed_private_key IS NOT NULL AND key_id <> $1`,
      [keyId],
    );
    expect(kept).toEqual([]);
  });
});

describe('the signature (RFC 8725, 3.3; RFC 7515, 5.2)', () => {
  const changed = (token: string, part: 0 | 1, value: Json): string => {
    const parts = token.split('.');
    parts[part] = encoded(value);
    return parts.join('.');
  };

  it('covers every claim and the header', async () => {
    const payload = claims();
    const token = signed(header(), payload);
    expect(await answerTo(token)).toEqual(ACCEPTED);
    const other = formatClientId(operator.organisationId, randomUUID());
    for (const more of [
      { roles: ['administrator'] },
      { scope: 'read write manage-access' },
      { exp: NOW + 86_400 },
      { sub: other, client_id: other },
      { name: 'somebody else' },
    ])
      expect(await answerTo(changed(token, 1, { ...payload, ...more }))).toEqual(REFUSED);
    expect(await answerTo(changed(token, 0, { ...header(), extra: 1 }))).toEqual(REFUSED);
  });

  it('is refused cut, changed, doubled, empty, of zeros, in another encoding, and that of another token', async () => {
    const token = signed(header(), claims());
    const [head = '', body = '', signature = ''] = token.split('.');
    const input = Buffer.from(`${head}.${body}`);
    const flipped = Buffer.from(signature, 'base64url');
    flipped[10] = (flipped[10] ?? 0) ^ 1;
    for (const forged of [
      '',
      signature.slice(0, -4),
      `${signature}AAAA`,
      signature + signature,
      flipped.toString('base64url'),
      // r = s = 0 (CVE-2022-21449)
      Buffer.alloc(64).toString('base64url'),
      // DER instead of the two numbers (RFC 7518, 3.4)
      sign('sha256', input, { key: privateKey, dsaEncoding: 'der' }).toString('base64url'),
      signed(header(), claims()).split('.')[2],
    ])
      expect(await answerTo(`${head}.${body}.${forged ?? ''}`)).toEqual(REFUSED);
  });

  it('a header that must be understood is (RFC 7515, 4.1.11)', async () => {
    for (const more of [
      { crit: ['exp'], exp: NOW },
      { crit: ['https://example.org/x'], 'https://example.org/x': true },
      { crit: [] },
      { crit: ['b64'], b64: false },
    ])
      expect(await answerTo(signed({ ...header(), ...more }, claims()))).toEqual(REFUSED);
  });

  it('what is no signed token of JSON is none', async () => {
    const { signature } = { signature: 'A'.repeat(86) };
    for (const token of [
      '..',
      'a.b.c',
      `${encoded(header())}..${signature}`,
      `${encoded(header())}.${encoded('text')}.${signature}`,
      signed(header(), 'text'),
      signed(header(), [claims()]),
      signed(header(), null),
      `${encoded(header())}.${'A'.repeat(5_000)}.${signature}`,
    ])
      expect(await answerTo(token)).toEqual(REFUSED);
    // five parts are an encrypted token (RFC 7516), which is not made here; no key looks like it
    const { status, body } = await send(test, 'GET', '/v1/vehicles', { key: 'a.b.c.d.e' });
    expect([status, body.type]).toEqual([401, '/problems/key-not-valid']);
  });
});

describe('the type, the issuer and the audience (RFC 8725, 3.8, 3.9 and 3.11; RFC 9068, 4)', () => {
  it.each<[string, Json]>([
    ['another type', { typ: 'JWT' }],
    ['an ID token', { typ: 'id+jwt' }],
    ['a logout token', { typ: 'logout+jwt' }],
    ['no type', { typ: undefined }],
    ['an empty type', { typ: '' }],
  ])('%s is refused', async (_, head) => {
    expect(await answerTo(signed({ ...header(), ...head }, claims()))).toEqual(REFUSED);
  });

  it.each<[string, Json]>([
    ['another issuer', { iss: 'https://attacker.example' }],
    ['our issuer with a slash', { iss: `${ISSUER}/` }],
    ['a list of issuers', { iss: [ISSUER, 'https://attacker.example'] }],
    ['another audience', { aud: 'https://other.example/v1' }],
    ['the issuer as audience', { aud: ISSUER }],
    ['no audience', { aud: undefined }],
    ['an empty audience', { aud: [] }],
    ['the client as audience', { aud: 'CLIENT' }],
  ])('%s is refused', async (_, more) => {
    const payload = { ...claims(), ...more, ...(more.aud === 'CLIENT' ? { aud: client.clientId } : {}) };
    expect(await answerTo(signed(header(), payload))).toEqual(REFUSED);
  });
});

describe('the claims (RFC 9068, 2.2; RFC 8725, 3.10)', () => {
  it('must all be there', async () => {
    const names = Object.keys(claims());
    expect(names).toHaveLength(11);
    for (const name of names)
      expect([name, ...(await answerTo(signed(header(), without(claims(), name))))]).toEqual([
        name,
        ...REFUSED,
      ]);
  });

  it.each<[string, Json]>([
    ['long over', { exp: NOW - 3_600 }],
    ['over by the leeway', { exp: NOW - 30 }],
    ['not begun', { nbf: NOW + 31 }],
    ['an end that is a text', { exp: 'never' }],
    ['an end that is no number', { exp: null }],
    ['a beginning that is a text', { nbf: 'now' }],
    ['another subject', { sub: 'somebody' }],
    ['no client id of this service', { sub: 'somebody', client_id: 'somebody' }],
    ['a role that there is not', { roles: ['owner'] }],
    ['no role', { roles: [] }],
    ['a role that is no list', { roles: 'administrator' }],
    ['a scope that is a list', { scope: ['read'] }],
    ['a name that is none', { name: 7 }],
  ])('%s: refused', async (_, more) => {
    expect(await answerTo(signed(header(), { ...claims(), ...more }))).toEqual(REFUSED);
  });

  it('within the leeway it is accepted', async () => {
    expect(await answerTo(signed(header(), { ...claims(), exp: NOW - 29 }))).toEqual(ACCEPTED);
    expect(await answerTo(signed(header(), { ...claims(), nbf: NOW + 30 }))).toEqual(ACCEPTED);
  });

  it('never open more than the role has', async () => {
    const token = signed(header(), { ...claims(), scope: 'read manage-access' });
    const asked = await send(test, 'GET', '/v1/api-keys', { key: token });
    expect(asked.status).toBe(403);
  });

  it('of a client that there is not, or of another organisation, find nothing', async () => {
    const stranger = await Operator.of(test, 'Another operator');
    for (const organisationId of [operator.organisationId, stranger.organisationId, randomUUID()])
      for (const id of [randomUUID(), ...(organisationId === operator.organisationId ? [] : [client.id])]) {
        const clientId = formatClientId(organisationId, id);
        const token = signed(header(), { ...claims(), sub: clientId, client_id: clientId });
        expect((await answerTo(token)).slice(0, 2)).toEqual([401, '/problems/key-not-valid']);
      }
  });
});
