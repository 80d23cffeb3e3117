import { randomUUID } from 'node:crypto';
import { Client } from 'pg';
import request from 'supertest';
import { formatApiKey, newSecret, sha256 } from '../../src/platform/security/api-key-token';
import type { Role } from '../../src/platform/security/role';
import type { NewOrganisation } from '../../src/platform/database/create-organisation';
import type { TestApp } from './test-app';

export interface Answer<T> {
  status: number;
  body: T;
  etag: string;
}

export interface Refusal {
  type: string;
  detail: string;
  errors?: { pointer?: string; parameter?: string; detail: string; remedy: string }[];
}

export interface CallOptions {
  body?: object;
  ifMatch?: string;
  idempotencyKey?: string;
}

type Method = 'get' | 'post' | 'put' | 'patch' | 'delete';

/** Calls the API with one key; the caller names the type of the answer. */
export function apiClient(test: TestApp, key: string) {
  const call = async <T>(method: Method, path: string, options: CallOptions = {}): Promise<Answer<T>> => {
    const sent = request(test.app.getHttpServer())[method](path).set('authorization', `Bearer ${key}`);
    if (options.ifMatch !== undefined) sent.set('if-match', options.ifMatch);
    if (options.idempotencyKey !== undefined) sent.set('idempotency-key', options.idempotencyKey);
    const response = await (options.body === undefined ? sent : sent.send(options.body));
    return { status: response.status, body: response.body as T, etag: response.headers.etag ?? '' };
  };
  /** A call that has to be answered with 2xx. */
  const ok = async <T>(method: Method, path: string, options: CallOptions = {}): Promise<T> => {
    const answer = await call<T>(method, path, options);
    if (answer.status >= 300) {
      throw new Error(`${method} ${path} answered ${answer.status}: ${JSON.stringify(answer.body)}`);
    }
    return answer.body;
  };
  /** A call that has to be refused: status, and where the errors are, each place once. */
  const refused = async (method: Method, path: string, options: CallOptions = {}): Promise<unknown[]> => {
    const { status, body } = await call<Refusal>(method, path, options);
    return [status, ...new Set((body.errors ?? []).map(({ pointer, parameter }) => pointer ?? parameter))];
  };
  return { call, ok, refused };
}

export type ApiClient = ReturnType<typeof apiClient>;

/** Adds a key of a role, for some fleets or all, past the API. */
export async function addKey(
  test: TestApp,
  { organisationId }: NewOrganisation,
  role: Role,
  fleetIds: string[] | null = null,
): Promise<string> {
  const id = randomUUID();
  const secret = newSecret();
  await asOwner(
    test,
    organisationId,
    `INSERT INTO api_keys (organisation_id, id, name, role, secret_sha256, fleet_ids, created_by)
      VALUES ($1, $2, $3, $3, $4, $5, 'test')`,
    [organisationId, id, role, sha256(secret), fleetIds],
  );
  return formatApiKey(organisationId, id, secret);
}

/** One statement as the owner of the schema, inside an organisation. */
export async function asOwner<Row>(
  test: TestApp,
  organisationId: string,
  sql: string,
  parameters: unknown[] = [],
): Promise<Row[]> {
  const client = new Client({ connectionString: test.database.ownerUrl });
  await client.connect();
  try {
    await client.query(`SELECT set_config('app.organisation_id', $1, false)`, [organisationId]);
    return (await client.query(sql, parameters)).rows as Row[];
  } finally {
    await client.end();
  }
}
