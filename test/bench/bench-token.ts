import autocannon from 'autocannon';
import { generateKeyPair, SignJWT } from 'jose';
import { createOrganisation } from '../../src/platform/database/create-organisation';
import { openDatabase } from '../../src/platform/database/open-database';
import { BENCH_SECRET, startApi, startBenchPostgres } from './bench-server';
import { median, type Figure } from './figures';

const ROUNDS = 5;
const API_PORT = 3955;
const CONNECTIONS = 10;
const SECONDS = 3;
const SIGNATURES = 2_000;
const PLENTY = '100000000';
const FORM = 'application/x-www-form-urlencoded';

/** How many clients a second can sign in, and what a request costs with a token instead of a key. */
export async function benchToken(): Promise<Figure[]> {
  const postgres = await startBenchPostgres();
  try {
    const database = await openDatabase(postgres.url(), BENCH_SECRET, null);
    const { administratorKey } = await createOrganisation(database.ownerUrl, 'Tokens');
    const api = await startApi(database.ownerUrl, API_PORT, {
      WORK_IN_API: 'false',
      TOKENS_PER_MINUTE: PLENTY,
      SIGN_INS_PER_MINUTE: PLENTY,
    });
    try {
      const form = await formOfNewClient(api.address, administratorKey);
      const tokens: number[] = [];
      const ratios: number[] = [];
      const signatures: number[] = [];
      for (let round = -1; round < ROUNDS; round++) {
        const tokenRate = await requestsPerSecond({
          url: `${api.address}/v1/oauth/token`,
          method: 'POST',
          headers: { 'content-type': FORM },
          body: form,
        });
        const signatureRate = await signaturesPerSecond();
        const withKey = await readsPerSecond(api.address, administratorKey);
        const withToken = await readsPerSecond(api.address, await askToken(api.address, form));
        if (round < 0) continue; // the first round only warms up
        tokens.push(tokenRate);
        signatures.push(signatureRate);
        ratios.push(withToken / withKey);
      }
      return [
        {
          key: 'tokens_per_s',
          value: median(tokens),
          unit: '1/s',
          comparison: `${median(signatures).toFixed(0)} bare ES256 signatures/s, ${CONNECTIONS} at a time each`,
        },
        {
          key: 'token_read_ratio',
          value: median(ratios),
          unit: '',
          comparison: 'reads with a token to reads with a key',
        },
      ];
    } finally {
      await api.stop();
    }
  } finally {
    await postgres.remove();
  }
}

async function formOfNewClient(address: string, administratorKey: string): Promise<string> {
  const response = await fetch(`${address}/v1/oauth-clients`, {
    method: 'POST',
    headers: { authorization: `Bearer ${administratorKey}`, 'content-type': 'application/json' },
    body: JSON.stringify({ name: 'bench', role: 'administrator' }),
  });
  const made = (await response.json()) as { clientId: string; clientSecret: string };
  if (response.status !== 201) throw new Error(`no client: ${response.status} ${JSON.stringify(made)}`);
  return new URLSearchParams({
    grant_type: 'client_credentials',
    client_id: made.clientId,
    client_secret: made.clientSecret,
  }).toString();
}

async function askToken(address: string, form: string): Promise<string> {
  const headers = { 'content-type': FORM };
  const response = await fetch(`${address}/v1/oauth/token`, { method: 'POST', headers, body: form });
  return ((await response.json()) as { access_token: string }).access_token;
}

const readsPerSecond = (address: string, credential: string): Promise<number> =>
  requestsPerSecond({
    url: `${address}/v1/organisation`,
    headers: { authorization: `Bearer ${credential}` },
  });

async function requestsPerSecond(options: autocannon.Options): Promise<number> {
  const result = await autocannon({ ...options, connections: CONNECTIONS, duration: SECONDS });
  if (result.non2xx > 0 || result.errors > 0)
    throw new Error(`${options.url}: ${result.non2xx} refusals, ${result.errors} errors`);
  return result.requests.average;
}

async function signaturesPerSecond(): Promise<number> {
  const { privateKey } = await generateKeyPair('ES256');
  const started = performance.now();
  await Promise.all(
    Array.from({ length: CONNECTIONS }, async () => {
      for (let n = 0; n < SIGNATURES / CONNECTIONS; n++)
        await new SignJWT({ n }).setProtectedHeader({ alg: 'ES256' }).sign(privateKey);
    }),
  );
  return SIGNATURES / ((performance.now() - started) / 1000);
}
