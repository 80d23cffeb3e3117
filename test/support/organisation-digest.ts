import { Client } from 'pg';
import type { TestApp } from './test-app';

/** A digest of every row that an organisation has, table by table: equal when nothing has changed. */
export async function organisationDigest(
  test: TestApp,
  organisationId: string,
): Promise<Record<string, string>> {
  return inTables(test, organisationId, 'md5(string_agg(t::text, chr(10) ORDER BY t::text))');
}

const BESIDE_THE_RECORDS = [
  'imports',
  'import_lines',
  'import_chunks',
  'audit_entries',
  'audit_seals',
  'events',
  'event_horizons',
  'announced_states',
  'person_sessions',
  'known_networks',
];

/** The same of the records alone, without what imports, the sealed audit trail and the change feed keep beside them. */
export async function recordsDigest(test: TestApp, organisationId: string): Promise<Record<string, string>> {
  const digests = await organisationDigest(test, organisationId);
  const unknown = BESIDE_THE_RECORDS.filter((name) => digests[name] === undefined);
  if (unknown.length > 0) throw new Error(`there are no tables ${unknown.join(', ')}`);
  return Object.fromEntries(Object.entries(digests).filter(([name]) => !BESIDE_THE_RECORDS.includes(name)));
}

/** Every id that an organisation's records have. */
export async function organisationIds(test: TestApp, organisationId: string): Promise<Set<string>> {
  const texts = await inTables(test, organisationId, `string_agg(t::text, chr(10))`);
  const ids = Object.values(texts).flatMap((text) => text.match(UUID) ?? []);
  return new Set(ids);
}

export const UUID = /[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}/g;

// a session notes now and then that it is used, which is nothing that a request has changed
const rowsOf = (table: string): string =>
  table === 'person_sessions'
    ? '(SELECT organisation_id, id, person_id, token_sha256, started_at, ends_at FROM person_sessions)'
    : `"${table}"`;

async function inTables(
  test: TestApp,
  organisationId: string,
  aggregate: string,
): Promise<Record<string, string>> {
  const client = new Client({ connectionString: test.database.ownerUrl });
  await client.connect();
  try {
    await client.query(`SELECT set_config('app.organisation_id', $1, false)`, [organisationId]);
    const tables = await client.query<{ name: string }>(
      `SELECT table_name AS name FROM information_schema.columns
        WHERE table_schema = 'public' AND column_name = 'organisation_id' ORDER BY 1`,
    );
    const found: Record<string, string> = {};
    for (const { name } of tables.rows) {
      const { rows } = await client.query<{ digest: string | null }>(
        `SELECT ${aggregate} AS digest FROM ${rowsOf(name)} t WHERE organisation_id = $1`,
        [organisationId],
      );
      found[name] = rows[0]?.digest ?? '';
    }
    return found;
  } finally {
    await client.end();
  }
}
