import { decodeProtectedHeader, type JSONWebKeySet } from 'jose';
import type { HeldClient } from '../support/oauth-client';
import { TwoApiProcesses } from '../support/two-api-processes';

// Two processes on one database: tokens of one are good at the other, keys are rotated under both, and every limit is
// one limit.

const REQUESTS = 60;
const TOKENS = 7;
const SIGN_INS = 40;

let two: TwoApiProcesses;
beforeAll(async () => {
  two = await TwoApiProcesses.start('Tarn Valley Patient Transport', {
    REQUESTS_PER_MINUTE: String(REQUESTS),
    TOKENS_PER_MINUTE: String(TOKENS),
    SIGN_INS_PER_MINUTE: String(SIGN_INS),
    TRUSTED_PROXIES: '127.0.0.1',
  });
}, 180_000);
afterAll(() => two.stop());

const newClient = (): Promise<HeldClient> =>
  two.made('/v1/oauth-clients', { name: 'dealer link', role: 'dealer-system' });

function askToken(
  index: number,
  { clientId, clientSecret }: HeldClient,
  address = '192.0.2.100',
): Promise<Response> {
  return fetch(`${two.apis[index % 2]!.address}/v1/oauth/token`, {
    method: 'POST',
    headers: {
      authorization: `Basic ${Buffer.from(`${clientId}:${clientSecret}`).toString('base64')}`,
      'x-forwarded-for': address,
    },
    body: new URLSearchParams({ grant_type: 'client_credentials' }),
  });
}

async function tokenOf(index: number, held: HeldClient): Promise<string> {
  const response = await askToken(index, held);
  if (!response.ok) throw new Error(`no token: ${response.status} ${await response.text()}`);
  return ((await response.json()) as { access_token: string }).access_token;
}

const read = (index: number, credential: string): Promise<Response> =>
  fetch(`${two.apis[index % 2]!.address}/v1/fleets`, { headers: { authorization: `Bearer ${credential}` } });

const keyIdsAt = async (index: number): Promise<(string | undefined)[]> => {
  const response = await fetch(`${two.apis[index]!.address}/.well-known/jwks.json`);
  return ((await response.json()) as JSONWebKeySet).keys.map(({ kid }) => kid);
};

const statuses = (responses: Response[], status: number): number =>
  responses.filter((response) => response.status === status).length;

describe('keys', () => {
  it('are common: a token of either is good at both, and there is one key, however many ask first', async () => {
    const held = await newClient();
    const tokens = await Promise.all([0, 1, 0, 1, 0, 1].map((index) => tokenOf(index, held)));
    expect(new Set(tokens.map((token) => decodeProtectedHeader(token).kid)).size).toBe(1);
    for (const token of tokens)
      expect([(await read(0, token)).status, (await read(1, token)).status]).toEqual([200, 200]);
    expect(await two.sql(`SELECT FROM app.signing_keys`)).toHaveLength(1);
  });

  it('are rotated by the command: tokens go on, new ones are signed by the new key, at both', async () => {
    const held = await newClient();
    const before = [await tokenOf(0, held), await tokenOf(1, held)];
    const printed = await two.run('rotate-keys.js');
    const [oldKey] = before.map((token) => decodeProtectedHeader(token).kid);
    const ids = await keyIdsAt(0);
    expect(ids).toHaveLength(2);
    expect(await keyIdsAt(1)).toEqual(expect.arrayContaining(ids));
    const newKey = ids.find((id) => id !== oldKey)!;
    expect(printed).toContain(newKey);
    for (const index of [0, 1]) {
      expect(decodeProtectedHeader(await tokenOf(index, held)).kid).toBe(newKey);
      expect((await read(index + 1, before[index]!)).status).toBe(200);
    }
  });

  it('that have become known are refused with their tokens', async () => {
    const held = await newClient();
    const before = [await tokenOf(0, held), await tokenOf(1, held)];
    await two.run('rotate-keys.js', '--refuse-old-tokens');
    for (const index of [0, 1]) {
      // makes the process look at the keys now instead of within half a minute
      expect(await keyIdsAt(index)).toHaveLength(1);
      expect((await read(index, before[index]!)).status).toBe(401);
      expect((await read(index, await tokenOf(index, held))).status).toBe(200);
    }
  });

  it('revocation at one process is heard of at the other with the next request', async () => {
    const held = await newClient();
    const token = await tokenOf(1, held);
    expect([(await read(0, token)).status, (await read(1, token)).status]).toEqual([200, 200]);
    const revoked = await fetch(`${two.apis[0]!.address}/v1/oauth-clients/${held.id}`, {
      method: 'DELETE',
      headers: { authorization: `Bearer ${two.organisation.administratorKey}`, 'if-match': '"r1"' },
    });
    expect(revoked.status).toBe(200);
    expect([(await read(0, token)).status, (await read(1, token)).status]).toEqual([401, 401]);
    expect((await askToken(1, held)).status).toBe(401);
  });
});

describe('limits', () => {
  it('a client has one allowance at both, by as many tokens as it likes; so has a key', async () => {
    const held = await newClient();
    const tokens = [await tokenOf(0, held), await tokenOf(1, held)];
    const answers = await Promise.all(
      Array.from({ length: REQUESTS + 10 }, (_, n) => read(n, tokens[(n >> 1) % 2]!)),
    );
    expect([statuses(answers, 200), statuses(answers, 429)]).toEqual([REQUESTS, 10]);
    for (const answer of answers) {
      expect(answer.headers.get('ratelimit-policy')).toBe(`"minute";q=${REQUESTS};w=60`);
      expect(answer.headers.get('ratelimit')).toMatch(/^"minute";r=\d+;t=\d+$/);
      if (answer.status !== 429) continue;
      expect(answer.headers.get('content-type')).toContain('application/problem+json');
      expect(Number(answer.headers.get('retry-after'))).toBeGreaterThanOrEqual(1);
    }
    const left = answers.map((answer) => Number(/r=(\d+)/.exec(answer.headers.get('ratelimit') ?? '')?.[1]));
    expect([Math.max(...left), Math.min(...left)]).toEqual([REQUESTS - 1, 0]);
    // another caller is not touched by that
    expect((await read(0, await tokenOf(0, await newClient()))).status).toBe(200);
  });

  it('a client is given so many tokens at both, and a wrong secret costs it none', async () => {
    const held = await newClient();
    const wrong = { ...held, clientSecret: 'A'.repeat(43) };
    const from = (index: number, who: HeldClient) => askToken(index, who, '192.0.2.1');
    expect((await Promise.all([0, 1, 0].map((n) => from(n, wrong)))).map(({ status }) => status)).toEqual([
      401, 401, 401,
    ]);
    const answers = await Promise.all(Array.from({ length: TOKENS + 3 }, (_, n) => from(n, held)));
    expect([statuses(answers, 200), statuses(answers, 429)]).toEqual([TOKENS, 3]);
    const [given] = answers;
    expect(given!.headers.get('ratelimit-policy')).toBe(
      `"sign-ins";q=${SIGN_INS};w=60, "tokens";q=${TOKENS};w=60`,
    );
    const refused = answers.find(({ status }) => status === 429)!;
    expect(refused.headers.get('retry-after')).toMatch(/^\d+$/);
    expect(((await refused.json()) as { type: string }).type).toBe('/problems/too-many-requests');
  });

  it('an address may try so often at both, by itself and as a network of IPv6', async () => {
    const nobody = { id: '', clientId: 'oc_nobody', clientSecret: 'secret' };
    const tryFrom = (address: (n: number) => string) =>
      Promise.all(Array.from({ length: SIGN_INS + 5 }, (_, n) => askToken(n, nobody, address(n))));
    for (const address of [() => '192.0.2.7', (n: number) => `2001:db8:1:2::${(n + 1).toString(16)}`]) {
      const answers = await tryFrom(address);
      expect([statuses(answers, 401), statuses(answers, 429)]).toEqual([SIGN_INS, 5]);
    }
    // the neighbour's network has its own
    expect((await askToken(0, nobody, '2001:db8:1:3::1')).status).toBe(401);
  });
});
