import { chmodSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Client } from 'pg';
import { createOrganisation } from '../../src/platform/database/create-organisation';
import {
  startEmbeddedPostgres,
  type EmbeddedPostgres,
} from '../../src/platform/database/embedded-postgres/start-embedded-postgres';
import { migrate } from '../../src/platform/database/migrate';

jest.setTimeout(60_000);

// A server of its own: on the one that the tests share others write, and that settles what was written before.
let folder: string;
let postgres: EmbeddedPostgres;
let organisationId: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'precharge-quiet-'));
  chmodSync(folder, 0o711); // as root the server runs as another user, who has to pass through
  postgres = await startEmbeddedPostgres({ dataDir: join(folder, 'data'), mode: 'child', durable: false });
  await migrate(postgres.url());
  ({ organisationId } = await createOrganisation(postgres.url(), 'An operator at night'));
});
afterAll(async () => {
  await postgres.stop();
  rmSync(folder, { recursive: true, force: true });
});

async function connected(): Promise<Client> {
  const client = new Client({ connectionString: postgres.url() });
  await client.connect();
  await client.query(`SELECT set_config('app.organisation_id', $1, false)`, [organisationId]);
  return client;
}

it('has settled the last change when its transaction has ended, though that one had waited for another', async () => {
  const [early, late, reader] = await Promise.all([connected(), connected(), connected()]);
  const change = (client: Client, note: string): Promise<unknown> =>
    client.query(
      `INSERT INTO events (organisation_id, type, subject_type, subject_id, data)
        VALUES ($1, 'fleet.changed', 'fleet', $1, $2)`,
      [organisationId, { note }],
    );
  const settled = async (): Promise<string[]> => {
    const { rows } = await reader.query<{ note: string }>(
      `SELECT data->>'note' AS note FROM events WHERE xid < app.settled_before() ORDER BY xid, sequence`,
    );
    return rows.map(({ note }) => note);
  };
  const numbered = (client: Client): Promise<unknown> => client.query('SELECT pg_current_xact_id()');
  try {
    await early.query('BEGIN');
    await numbered(early);
    await late.query('BEGIN');
    await numbered(late);
    await change(late, 'before');
    await late.query('COMMIT');
    await change(early, 'afterwards');
    expect(await settled()).toEqual([]);
    await early.query('COMMIT');
    expect(await settled()).toEqual(['before', 'afterwards']);
  } finally {
    await Promise.all([early.end(), late.end(), reader.end()]);
  }
});
