import { randomUUID } from 'node:crypto';
import { Client, escapeIdentifier } from 'pg';
import { openDatabase, type OpenDatabase } from '../../src/platform/database/open-database';
import { fillOrganisation, type FilledOrganisation } from '../support/filled-database';
import { createTestDatabase, type TestDatabase } from '../support/test-database';
import { TEST_SECRET } from '../support/test-secret';

let testDatabase: TestDatabase;
let database: OpenDatabase;
let owner: Client;
let app: Client;
let ours: FilledOrganisation;
let theirs: FilledOrganisation;
let tables: string[];

beforeAll(async () => {
  testDatabase = await createTestDatabase(process.env.PRECHARGE_TEST_TEMPLATE);
  database = await openDatabase(testDatabase.url, TEST_SECRET, null);
  ours = await fillOrganisation(database.ownerUrl, 3);
  theirs = await fillOrganisation(database.ownerUrl, 2);
  owner = new Client({ connectionString: database.ownerUrl });
  app = new Client({ connectionString: database.appUrl });
  await Promise.all([owner.connect(), app.connect()]);
  const found = await owner.query<{ relname: string }>(
    `SELECT relname FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind = 'r'
      AND relname <> 'schema_migrations' ORDER BY relname`,
  );
  tables = found.rows.map(({ relname }) => relname);
});
afterAll(async () => {
  await Promise.all([owner.end(), app.end()]);
  await testDatabase.drop();
});

/** SQLSTATE of the refusal, or what was answered. */
async function outcome(sql: string, parameters: unknown[] = []): Promise<unknown> {
  try {
    return (await app.query<Record<string, unknown>>(sql, parameters)).rows;
  } catch (error) {
    return (error as { code?: string }).code ?? error;
  }
}

type Entered = { entered: boolean; counts: Record<string, number> };

/** Enters with a key in a transaction of its own and counts what is to be seen, table by table. */
async function enter(organisationId: string, apiKeyId: string | null, fleetId?: string): Promise<Entered> {
  await app.query('BEGIN');
  try {
    const { rows } = await app.query<{ entered: boolean }>('SELECT app.enter($1, $2) AS entered', [
      organisationId,
      apiKeyId,
    ]);
    return { entered: rows[0]!.entered, counts: await countAll(app, fleetId) };
  } finally {
    await app.query('COMMIT');
  }
}

async function countAll(client: Client, fleetId?: string): Promise<Record<string, number>> {
  const counts: Record<string, number> = {};
  for (const table of tables) {
    const column = fleetColumns.get(table);
    const where = fleetId === undefined || column === undefined ? '' : `WHERE ${column} = '${fleetId}'`;
    const { rows } = await client.query<{ count: string }>(`SELECT count(*) FROM ${table} ${where}`);
    counts[table] = Number(rows[0]!.count);
  }
  return counts;
}

// the times of the one bay belong to no fleet: everybody has to see them
const ofNoFleet = (table: string): number => (table === 'booking_allocations' ? 1 : 0);
const ofFleet = (column: string, fleetId: string): string =>
  `(${column} = '${fleetId}' OR ${column} IS NULL)`;

const fleetColumns = new Map<string, string>();
beforeAll(async () => {
  const { rows } = await owner.query<{ relname: string }>(
    `SELECT c.relname FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid
      WHERE a.attname = 'fleet_id' AND c.relkind = 'r' AND c.relnamespace = 'public'::regnamespace`,
  );
  for (const { relname } of rows) fleetColumns.set(relname, 'fleet_id');
  fleetColumns.set('fleets', 'id');
});

/** What an organisation has, as the superuser sees it, who is not under row security. */
async function has(organisationId: string, fleetId?: string): Promise<Record<string, number>> {
  const counts: Record<string, number> = {};
  for (const table of tables) {
    const column = fleetColumns.get(table);
    const scope = fleetId === undefined || column === undefined ? '' : `AND ${ofFleet(column, fleetId)}`;
    const { rows } = await owner.query<{ count: string }>(
      `SELECT count(*) FROM ${table} WHERE organisation_id = $1 ${scope}`,
      [organisationId],
    );
    counts[table] = Number(rows[0]!.count);
  }
  return counts;
}

const nothing = (): Record<string, number> => Object.fromEntries(tables.map((table) => [table, 0]));

async function addKey(
  organisationId: string,
  more: { fleetIds?: string[]; expiresAt?: string; revokedAt?: string } = {},
): Promise<string> {
  const id = randomUUID();
  await owner.query(
    `INSERT INTO api_keys (organisation_id, id, name, role, secret_sha256, fleet_ids, expires_at, revoked_at, created_by)
      VALUES ($1, $2, 'test', 'fleet-planner', '\\x00', $3, $4, $5, 'test')`,
    [organisationId, id, more.fleetIds ?? null, more.expiresAt ?? null, more.revokedAt ?? null],
  );
  return id;
}

async function addClient(
  organisationId: string,
  more: { fleetIds?: string[]; revokedAt?: string } = {},
): Promise<string> {
  const id = randomUUID();
  await owner.query(
    `INSERT INTO oauth_clients (organisation_id, id, name, role, scopes, secret_id, secret_sha256, secret_made_at,
        fleet_ids, revoked_at, created_by)
      VALUES ($1, $2, 'test', 'fleet-planner', '{read}', $2, '\\x00', now(), $3, $4, 'test')`,
    [organisationId, id, more.fleetIds ?? null, more.revokedAt ?? null],
  );
  return id;
}

async function addFeed(
  organisationId: string,
  more: { fleetIds?: string[]; revokedAt?: string } = {},
): Promise<string> {
  const id = randomUUID();
  await owner.query(
    `INSERT INTO calendar_feeds (organisation_id, id, label, workshop_id, with_names, secret_id, secret_sha256,
        secret_made_at, fleet_ids, revoked_at, created_by)
      SELECT $1, $2, 'test', id, false, $2, '\\x00', now(), $3, $4, 'test' FROM workshops
        WHERE organisation_id = $1 LIMIT 1`,
    [organisationId, id, more.fleetIds ?? null, more.revokedAt ?? null],
  );
  return id;
}

describe('the role of the application', () => {
  it('owns nothing, belongs to nobody and has no rights of its own over the server', async () => {
    const { rows } = await owner.query(
      `SELECT rolsuper, rolbypassrls, rolcreaterole, rolcreatedb, rolreplication, rolcanlogin,
          (SELECT count(*)::integer FROM pg_auth_members WHERE member = r.oid OR roleid = r.oid) AS memberships,
          (SELECT count(*)::integer FROM pg_shdepend WHERE refclassid = 'pg_authid'::regclass AND refobjid = r.oid
            AND deptype = 'o') AS owned
        FROM pg_roles r WHERE rolname = 'precharge_app'`,
    );
    expect(rows).toEqual([
      {
        rolsuper: false,
        rolbypassrls: false,
        rolcreaterole: false,
        rolcreatedb: false,
        rolreplication: false,
        rolcanlogin: true,
        memberships: 0,
        owned: 0,
      },
    ]);
    expect(await outcome('SELECT current_user::text')).toEqual([{ current_user: 'precharge_app' }]);
  });

  // 42501 is "insufficient privilege" (PostgreSQL manual, appendix A)
  it.each([
    'SET ROLE <owner>',
    'SET SESSION AUTHORIZATION <owner>',
    'ALTER ROLE precharge_app BYPASSRLS',
    'ALTER ROLE precharge_app CREATEROLE',
    'CREATE ROLE helper',
    'CREATE DATABASE another',
    'CREATE SCHEMA mine',
    'CREATE TABLE public.mine (id integer)',
    'CREATE TABLE app.mine (id integer)',
    `CREATE FUNCTION app.mine() RETURNS integer LANGUAGE sql AS 'SELECT 1'`,
    `CREATE OR REPLACE FUNCTION app.organisation_id() RETURNS uuid LANGUAGE sql AS 'SELECT NULL::uuid'`,
    'CREATE POLICY mine ON vehicles USING (true)',
    'DROP POLICY vehicles_tenant ON vehicles',
    'ALTER POLICY vehicles_tenant ON vehicles USING (true)',
    'ALTER TABLE vehicles DISABLE ROW LEVEL SECURITY',
    'ALTER TABLE vehicles NO FORCE ROW LEVEL SECURITY',
    'ALTER TABLE vehicles OWNER TO precharge_app',
    'CREATE TRIGGER mine BEFORE UPDATE ON vehicles EXECUTE FUNCTION suppress_redundant_updates_trigger()',
    'TRUNCATE vehicles',
    'DELETE FROM app.signing_keys',
    'SET session_replication_role = replica',
    'SELECT * FROM schema_migrations',
    'SELECT rolpassword FROM pg_authid',
    `COPY vehicles TO PROGRAM 'cat'`,
    `SELECT pg_read_file('postgresql.conf')`,
  ])('may not: %s', async (sql) => {
    const name = decodeURIComponent(new URL(database.ownerUrl).username);
    expect(await outcome(sql.replace('<owner>', escapeIdentifier(name)))).toBe('42501');
  });

  it('gets a refusal instead of every row when it asks to do without row security', async () => {
    await app.query('SET row_security = off');
    expect(await outcome('SELECT count(*) FROM vehicles')).toBe('42501');
    await app.query('RESET row_security');
  });

  it.each([
    ['UPDATE audit_entries SET actor = actor'],
    ['DELETE FROM audit_entries'],
    ['TRUNCATE audit_entries'],
    ['DELETE FROM organisations'],
    [`INSERT INTO organisations (organisation_id, name) SELECT app.organisation_id(), 'another'`],
  ])('inside its own organisation still may not: %s', async (sql) => {
    await app.query('BEGIN');
    await app.query('SELECT app.enter($1, NULL)', [ours.organisationId]);
    expect(await outcome(sql)).toBe('42501');
    await app.query('ROLLBACK');
  });
});

describe('row security', () => {
  it('has something to hide in every table', async () => {
    for (const organisation of [ours, theirs]) {
      const counts = await has(organisation.organisationId);
      expect(Object.entries(counts).filter(([, count]) => count === 0)).toEqual([]);
    }
  });

  it('shows nothing at all outside an organisation, in or out of a transaction', async () => {
    expect(await countAll(app)).toEqual(nothing());
    await app.query('BEGIN');
    expect(await countAll(app)).toEqual(nothing());
    await app.query('COMMIT');
  });

  it('shows an organisation all of its own and nothing else', async () => {
    expect(await enter(ours.organisationId, null)).toEqual({
      entered: true,
      counts: await has(ours.organisationId),
    });
    const keyId = await addKey(theirs.organisationId);
    expect(await enter(theirs.organisationId, keyId)).toEqual({
      entered: true,
      counts: await has(theirs.organisationId),
    });
    expect((await enter(randomUUID(), null)).counts).toEqual(nothing());
  });

  it('shows a key with fleets those fleets only', async () => {
    const keyId = await addKey(ours.organisationId, { fleetIds: [ours.otherFleetId] });
    const inScope = await has(ours.organisationId, ours.otherFleetId);
    expect(await enter(ours.organisationId, keyId)).toEqual({ entered: true, counts: inScope });
    const outside = await enter(ours.organisationId, keyId, ours.fleetId);
    for (const table of fleetColumns.keys()) expect([table, outside.counts[table]]).toEqual([table, 0]);

    const none = await addKey(ours.organisationId, { fleetIds: [] });
    const withoutFleets = await enter(ours.organisationId, none);
    for (const table of fleetColumns.keys())
      expect([table, withoutFleets.counts[table]]).toEqual([table, ofNoFleet(table)]);

    const foreignFleet = await addKey(ours.organisationId, { fleetIds: [theirs.fleetId] });
    const elsewhere = await enter(ours.organisationId, foreignFleet);
    for (const table of fleetColumns.keys())
      expect([table, elsewhere.counts[table]]).toEqual([table, ofNoFleet(table)]);
  });

  it('shows a client what it shows a key', async () => {
    const all = await addClient(ours.organisationId);
    expect(await enter(ours.organisationId, all)).toEqual({
      entered: true,
      counts: await has(ours.organisationId),
    });
    const some = await addClient(ours.organisationId, { fleetIds: [ours.otherFleetId] });
    const inScope = await has(ours.organisationId, ours.otherFleetId);
    expect(await enter(ours.organisationId, some)).toEqual({ entered: true, counts: inScope });
    // what the one was limited to does not stay for the next
    expect((await enter(ours.organisationId, all)).counts).toEqual(await has(ours.organisationId));
  });

  it('shows the reader of a calendar what it shows a key', async () => {
    const all = await addFeed(ours.organisationId);
    expect(await enter(ours.organisationId, all)).toEqual({
      entered: true,
      counts: await has(ours.organisationId),
    });
    const some = await addFeed(ours.organisationId, { fleetIds: [ours.otherFleetId] });
    const inScope = await has(ours.organisationId, ours.otherFleetId);
    expect(await enter(ours.organisationId, some)).toEqual({ entered: true, counts: inScope });
  });

  it('shows nothing after a key or client that does not open: revoked, expired, unknown or of somebody else', async () => {
    const refused = { entered: false, counts: nothing() };
    const revoked = await addKey(ours.organisationId, { revokedAt: '2026-01-01T00:00:00Z' });
    const expired = await addKey(ours.organisationId, { expiresAt: '2020-01-01T00:00:00Z' });
    const foreign = await addKey(theirs.organisationId);
    const clients = [
      await addClient(ours.organisationId, { revokedAt: '2026-01-01T00:00:00Z' }),
      await addClient(theirs.organisationId),
      await addFeed(ours.organisationId, { revokedAt: '2026-01-01T00:00:00Z' }),
      await addFeed(theirs.organisationId),
    ];
    for (const keyId of [revoked, expired, foreign, randomUUID(), ...clients]) {
      expect(await enter(ours.organisationId, keyId)).toEqual(refused);
    }
    const lasting = await addKey(ours.organisationId, { expiresAt: '2999-01-01T00:00:00Z' });
    expect((await enter(ours.organisationId, lasting)).entered).toBe(true);
  });

  it('forgets the organisation and the fleets with the transaction, committed or not', async () => {
    const keyId = await addKey(ours.organisationId, { fleetIds: [ours.fleetId] });
    for (const end of ['COMMIT', 'ROLLBACK']) {
      await app.query('BEGIN');
      await app.query('SELECT app.enter($1, $2)', [ours.organisationId, keyId]);
      expect((await countAll(app)).vehicles).toBe(3);
      await app.query(end);
      expect(await countAll(app)).toEqual(nothing());
      // an organisation without a key sees its fleets: those of the key before did not stay
      expect((await enter(ours.organisationId, null)).counts.vehicles).toBe(4);
    }
    // an error ends the transaction just the same
    await app.query('BEGIN');
    await app.query('SELECT app.enter($1, $2)', [ours.organisationId, keyId]);
    expect(await outcome('SELECT 1/0')).toBe('22012');
    await app.query('ROLLBACK');
    expect(await countAll(app)).toEqual(nothing());
  });

  it('lets no row be written, moved or touched outside the organisation and the fleets', async () => {
    const keyId = await addKey(ours.organisationId, { fleetIds: [ours.otherFleetId] });
    const attempt = async (sql: string, parameters: unknown[]): Promise<unknown> => {
      await app.query('BEGIN');
      try {
        await app.query('SELECT app.enter($1, $2)', [ours.organisationId, keyId]);
        return (await app.query(sql, parameters)).rowCount;
      } catch (error) {
        return (error as { code: string }).code;
      } finally {
        await app.query('ROLLBACK');
      }
    };
    const hold = `INSERT INTO holds (organisation_id, vehicle_id, fleet_id, reason, placed_by) VALUES ($1, $2, $3, 'x', 'x')`;
    const { rows } = await owner.query<{ id: string }>('SELECT id FROM vehicles WHERE fleet_id = $1', [
      ours.otherFleetId,
    ]);
    const visible = rows[0]!.id;
    const outOfScope = ours.vehicleIds[0];
    expect(await attempt(hold, [ours.organisationId, visible, ours.otherFleetId])).toBe(1);
    expect(await attempt(hold, [ours.organisationId, outOfScope, ours.fleetId])).toBe('42501');
    // 23503 is "foreign key violation": a row cannot give itself another fleet than its vehicle's
    expect(await attempt(hold, [ours.organisationId, outOfScope, ours.otherFleetId])).toBe('23503');
    expect(await attempt(hold, [theirs.organisationId, theirs.vehicleIds[0], theirs.fleetId])).toBe('42501');
    expect(await attempt('UPDATE vehicles SET fleet_number = $1', ['moved'])).toBe(1);
    expect(await attempt('UPDATE vehicles SET organisation_id = $1', [theirs.organisationId])).toBe('42501');
    expect(await attempt('UPDATE holds SET fleet_id = $1', [ours.fleetId])).toBe('42501');
    expect(await attempt('DELETE FROM holds WHERE vehicle_id = $1', [outOfScope])).toBe(0);
    expect(await attempt('UPDATE organisations SET name = $1', ['renamed'])).toBe(1);
    expect(await attempt('SELECT id FROM vehicles WHERE id = $1 FOR UPDATE', [outOfScope])).toBe(0);
  });
});
