import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { Client } from 'pg';
import type { DataSource } from 'typeorm';
import { migrate, ownerDataSource } from '../../src/platform/database/migrate';
import { catalogueFaults } from '../support/catalogue-faults';
import { fillOrganisation, type FilledOrganisation } from '../support/filled-database';
import { openDatabase } from '../../src/platform/database/open-database';
import { TEST_SECRET } from '../support/test-secret';
import { createTestDatabase, type TestDatabase } from '../support/test-database';

const entities = [join(__dirname, '../../src/**/*.entity.ts')];

let database: TestDatabase;
let dataSource: DataSource;
let client: Client;
let filled: FilledOrganisation;
beforeAll(async () => {
  database = await createTestDatabase();
  dataSource = await ownerDataSource(database.url, entities).initialize();
  await dataSource.runMigrations({ transaction: 'each' });
  filled = await fillOrganisation(database.url, 3);
  client = new Client({ connectionString: database.url });
  await client.connect();
});
afterAll(async () => {
  await client.end();
  await dataSource.destroy();
  await database.drop();
});

async function differences(): Promise<string[]> {
  const { upQueries } = await dataSource.driver.createSchemaBuilder().log();
  return upQueries.map(({ query }) => query);
}

async function texts(sql: string): Promise<string[]> {
  const { rows } = await client.query<{ text: string }>(sql);
  return rows.map(({ text }) => text);
}

/** Everything that a migration could have made, in Postgres' own words. */
function catalogue(): Promise<string[]> {
  return texts(`
    WITH spaces AS (SELECT oid FROM pg_namespace WHERE nspname IN ('public', 'app')),
      own AS (SELECT c.* FROM pg_class c WHERE c.relnamespace IN (SELECT oid FROM spaces) AND c.relname <> 'schema_migrations')
    SELECT format('column %s.%s %s %s %s', c.relname, a.attname, format_type(a.atttypid, a.atttypmod), a.attnotnull,
        pg_get_expr(d.adbin, d.adrelid)) AS text
      FROM own c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0 AND c.relkind = 'r'
        LEFT JOIN pg_attrdef d ON d.adrelid = c.oid AND d.adnum = a.attnum
    UNION ALL SELECT format('table %s %s %s %s', relname, relrowsecurity, relforcerowsecurity, relacl) FROM own WHERE relkind = 'r'
    UNION ALL SELECT format('constraint %s %s', conname, pg_get_constraintdef(k.oid)) FROM pg_constraint k JOIN own c ON c.oid = k.conrelid
    UNION ALL SELECT pg_get_indexdef(c.oid) FROM own c WHERE relkind = 'i' AND relname NOT LIKE 'PK_%'
    UNION ALL SELECT format('policy %s %s %s', polname, pg_get_expr(polqual, polrelid), pg_get_expr(polwithcheck, polrelid)) FROM pg_policy
    UNION ALL SELECT pg_get_functiondef(oid) FROM pg_proc WHERE pronamespace = 'app'::regnamespace
    ORDER BY text`);
}

it('has no difference between the entities and what the migrations make', async () => {
  expect(await differences()).toEqual([]);
});

describe('the catalogue', () => {
  it('keeps every rule of tenancy', async () => {
    expect(await catalogueFaults(client)).toEqual([]);
    // the rules were held against something
    const tables = await texts(`SELECT relname AS text FROM pg_class WHERE relrowsecurity ORDER BY relname`);
    expect(tables).toEqual(expect.arrayContaining(['audit_entries', 'due_items', 'fleets', 'import_lines']));
    expect(tables.length).toBeGreaterThanOrEqual(22);
  });

  const organisationOnly = `USING (organisation_id = (SELECT app.organisation_id()))`;
  it.each<[string, string, string[]]>([
    [
      'a table without row security',
      `CREATE TABLE scratch (organisation_id uuid NOT NULL, id uuid NOT NULL, PRIMARY KEY (organisation_id, id))`,
      [
        'scratch: has not exactly one policy, for every command and every role',
        'scratch: row security is not both enabled and forced',
      ],
    ],
    [
      'row security that the owner walks past, with a policy that does not ask about the fleet',
      `CREATE TABLE scratch (organisation_id uuid NOT NULL, id uuid NOT NULL, fleet_id uuid NOT NULL, PRIMARY KEY (organisation_id, id));
       ALTER TABLE scratch ENABLE ROW LEVEL SECURITY;
       CREATE POLICY scratch_tenant ON scratch ${organisationOnly} WITH CHECK (organisation_id = (SELECT app.organisation_id()))`,
      [
        'scratch: row security is not both enabled and forced',
        'scratch: the policy does not compare the fleet, both for reading and for writing',
      ],
    ],
    [
      'a policy that lets rows of others be written',
      `CREATE TABLE scratch (organisation_id uuid NOT NULL, id uuid NOT NULL, PRIMARY KEY (organisation_id, id));
       ALTER TABLE scratch ENABLE ROW LEVEL SECURITY; ALTER TABLE scratch FORCE ROW LEVEL SECURITY;
       CREATE POLICY scratch_tenant ON scratch ${organisationOnly} WITH CHECK (true)`,
      ['scratch: the policy does not compare the organisation, both for reading and for writing'],
    ],
    [
      'a second policy, which would be added to the first',
      `CREATE POLICY depots_all ON depots USING (true)`,
      [
        'depots: has not exactly one policy, for every command and every role',
        'depots: the policy does not compare the fleet, both for reading and for writing',
        'depots: the policy does not compare the organisation, both for reading and for writing',
      ],
    ],
    [
      'keys that do not start with the organisation',
      `ALTER TABLE holds ADD CONSTRAINT holds_id_key UNIQUE (id, organisation_id);
       CREATE UNIQUE INDEX holds_id_idx ON holds (id);
       ALTER TABLE vehicles ADD CONSTRAINT vehicles_period EXCLUDE USING gist (int4range(revision, revision) WITH &&)`,
      [
        'holds.holds_id_idx: the unique index does not start with the organisation',
        'holds.holds_id_key: the key or constraint does not start with the organisation',
        'holds.holds_id_key: the unique index does not start with the organisation',
        'vehicles.vehicles_period: the exclusion does not hold within one organisation',
        'vehicles.vehicles_period: the key or constraint does not start with the organisation',
      ],
    ],
    [
      'a view and a function with the rights of the owner',
      `CREATE VIEW every_vehicle AS SELECT * FROM vehicles;
       CREATE FUNCTION app.peep() RETURNS bigint LANGUAGE sql SECURITY DEFINER AS 'SELECT count(*) FROM vehicles'`,
      [
        'every_vehicle: shows rows with the rights of its owner',
        'peep: shows rows with the rights of its owner',
      ],
    ],
    [
      'a table that belongs to nobody',
      `CREATE TABLE scratch (id uuid PRIMARY KEY);
       ALTER TABLE scratch ENABLE ROW LEVEL SECURITY; ALTER TABLE scratch FORCE ROW LEVEL SECURITY;
       CREATE POLICY scratch_all ON scratch USING (true) WITH CHECK (true)`,
      [
        'scratch.scratch_pkey: the key or constraint does not start with the organisation',
        'scratch.scratch_pkey: the unique index does not start with the organisation',
        'scratch: has no organisation_id',
        'scratch: the policy does not compare the organisation, both for reading and for writing',
      ],
    ],
  ])('%s is found', async (_, plant, faults) => {
    await client.query('BEGIN');
    try {
      await client.query(plant);
      expect(await catalogueFaults(client)).toEqual(faults);
    } finally {
      await client.query('ROLLBACK');
    }
  });
});

describe('periods that overlap', () => {
  // a statement of its own transaction that leaves nothing; answers the refused constraint or "accepted"
  const attempt = async (sql: string): Promise<string> => {
    await client.query('BEGIN');
    try {
      await client.query(sql, [filled.organisationId, filled.vehicleIds[0]]);
      return 'accepted';
    } catch (error) {
      return (error as { constraint?: string }).constraint ?? String(error);
    } finally {
      await client.query('ROLLBACK');
    }
  };

  // on file: 2025-03-01 to 2025-03-15
  it.each([
    ['2025-03-01', '2025-03-15', 'off_road_periods_no_overlap'],
    ['2025-03-14', '2025-03-20', 'off_road_periods_no_overlap'],
    ['2025-02-01', '2025-03-02', 'off_road_periods_no_overlap'],
    ['2025-03-05', '2025-03-06', 'off_road_periods_no_overlap'],
    ['2025-01-01', '2026-01-01', 'off_road_periods_no_overlap'],
    ['2025-03-15', '2025-03-20', 'accepted'],
    ['2025-02-01', '2025-03-01', 'accepted'],
    ['2025-04-01', '2025-04-01', 'off_road_periods_period_check'],
    ['2025-04-02', '2025-04-01', 'off_road_periods_period_check'],
  ])('off the road from %s until %s: %s', async (fromOn, untilOn, outcome) => {
    const sql = `INSERT INTO off_road_periods (organisation_id, vehicle_id, fleet_id, from_on, until_on, reason)
      SELECT organisation_id, id, fleet_id, '${fromOn}', '${untilOn}', 'test' FROM vehicles WHERE organisation_id = $1 AND id = $2`;
    expect(await attempt(sql)).toBe(outcome);
  });

  // on file: one layout since the filling, valid until further notice
  it.each([
    ['now()', 'NULL', 'hydraulic_layouts_no_overlap|hydraulic_layouts_current_idx'],
    [`now() + interval '1 day'`, `now() + interval '2 days'`, 'hydraulic_layouts_no_overlap'],
    [`'2020-01-01'`, `'2020-06-01'`, 'accepted'],
    [`'2020-01-01'`, `now() + interval '1 day'`, 'hydraulic_layouts_no_overlap'],
    [`'2020-01-01'`, `'2020-01-01'`, 'hydraulic_layouts_period_check'],
  ])('a layout recorded at %s and superseded at %s: %s', async (recordedAt, supersededAt, outcome) => {
    const sql = `INSERT INTO hydraulic_layouts (organisation_id, vehicle_id, fleet_id, pump_kind, anti_sink_valves,
        rear_brake_accumulator, steering_supply, steering_regulator, evidence, recorded_by, recorded_at, superseded_at)
      SELECT organisation_id, id, fleet_id, 'x', 'x', 'x', 'x', 'x', '{}', 'test', ${recordedAt}, ${supersededAt}
        FROM vehicles WHERE organisation_id = $1 AND id = $2`;
    expect(await attempt(sql)).toMatch(new RegExp(`^(${outcome})$`));
  });

  it('two writers at the same moment: one is refused', async () => {
    const outcomes = await Promise.all(
      [1, 2].map(async () => {
        const writer = new Client({ connectionString: database.url });
        await writer.connect();
        try {
          await writer.query('BEGIN');
          await writer.query(
            `INSERT INTO off_road_periods (organisation_id, vehicle_id, fleet_id, from_on, until_on, reason)
              SELECT organisation_id, id, fleet_id, '2030-01-01', '2030-02-01', 'test' FROM vehicles WHERE id = $1`,
            [filled.vehicleIds[1]],
          );
          await sleep(100);
          await writer.query('COMMIT');
          return 'accepted';
        } catch (error) {
          return (error as { code: string }).code;
        } finally {
          await writer.end();
        }
      }),
    );
    // 23P01 is "exclusion violation", 40P01 "deadlock detected" (PostgreSQL manual, appendix A): two writers who
    // saw each other's row at the same instant wait for each other, and one is given up
    expect(outcomes.sort()).toEqual([expect.stringMatching(/^(23P01|40P01)$/), 'accepted']);
  });
});

describe('migrations', () => {
  it('go down and up again over a filled database, one by one', async () => {
    const before = await catalogue();
    const [rows] = await texts(`SELECT count(*)::text AS text FROM due_items`);
    expect(Number(rows)).toBeGreaterThan(0);
    expect(before.length).toBeGreaterThan(200);

    const names = await texts(`SELECT name AS text FROM schema_migrations ORDER BY id DESC`);
    for (const [undone] of names.entries()) {
      await dataSource.undoLastMigration({ transaction: 'each' });
      const left = await texts(`SELECT name AS text FROM schema_migrations ORDER BY id DESC`);
      expect(left).toEqual(names.slice(undone + 1));
    }
    expect(
      await texts(`SELECT relname AS text FROM pg_class WHERE relnamespace = 'public'::regnamespace
      AND relkind = 'r' AND relname <> 'schema_migrations'`),
    ).toEqual([]);
    expect(await texts(`SELECT nspname AS text FROM pg_namespace WHERE nspname = 'app'`)).toEqual([]);

    await dataSource.runMigrations({ transaction: 'each' });
    expect(await catalogue()).toEqual(before);
    expect(await differences()).toEqual([]);
    await fillOrganisation(database.url, 1);
  });

  it('wait for a process that is migrating already', async () => {
    const empty = await createTestDatabase();
    const holder = new Client({ connectionString: empty.url });
    await holder.connect();
    try {
      await holder.query(`SELECT pg_advisory_lock(hashtext('precharge schema'))`);
      let done = false;
      const waiting = migrate(empty.url).then((names) => {
        done = true;
        return names;
      });
      // waits until the server says that somebody waits
      for (let waiters = 0; waiters === 0;) {
        const { rows } = await holder.query<{ waiters: string }>(
          `SELECT count(*) AS waiters FROM pg_locks WHERE locktype = 'advisory' AND NOT granted
            AND database = (SELECT oid FROM pg_database WHERE datname = current_database())`,
        );
        waiters = Number(rows[0]?.waiters);
        await sleep(20);
      }
      await sleep(100);
      expect(done).toBe(false);
      await holder.query(`SELECT pg_advisory_unlock(hashtext('precharge schema'))`);
      expect((await waiting).length).toBeGreaterThan(0);
      expect(await migrate(empty.url)).toEqual([]);
    } finally {
      await holder.end();
      await empty.drop();
    }
  });

  it('are run once by two processes that start together', async () => {
    const empty = await createTestDatabase();
    try {
      const run = await Promise.all([migrate(empty.url), migrate(empty.url)]);
      const sizes = run.map((names) => names.length).sort((a, b) => a - b);
      expect(sizes[0]).toBe(0);
      expect(sizes[1]).toBeGreaterThan(0);
    } finally {
      await empty.drop();
    }
  });

  it('leave a database that several processes open for the first time together', async () => {
    const empty = await createTestDatabase();
    try {
      const opened = await Promise.all(
        Array.from({ length: 5 }, () => openDatabase(empty.url, TEST_SECRET, null)),
      );
      expect(new Set(opened.map(({ appUrl }) => appUrl)).size).toBe(1);
    } finally {
      await empty.drop();
    }
  });
});
