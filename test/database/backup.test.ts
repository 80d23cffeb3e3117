import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { gunzipSync, gzipSync } from 'node:zlib';
import { Client } from 'pg';
import { AuditChecksService } from '../../src/modules/audit-seals/audit-checks.service';
import { AuditSealingService } from '../../src/modules/audit-seals/audit-sealing.service';
import { DueItemsService } from '../../src/modules/due-items/due-items.service';
import { queuePendingJobs } from '../../src/platform/database/backup/queue-pending-jobs';
import {
  checkBackup,
  restoreBackup,
  type RestoredBackup,
} from '../../src/platform/database/backup/restore-backup';
import { writeBackup } from '../../src/platform/database/backup/write-backup';
import { knownMigrations, migrate, migrateTo } from '../../src/platform/database/migrate';
import { openDatabase } from '../../src/platform/database/open-database';
import { systemPrincipal } from '../../src/platform/security/principal';
import { apiClient, type ApiClient } from '../support/api-client';
import { fillOrganisation } from '../support/filled-database';
import { Operator } from '../support/operator';
import { organisationDigest } from '../support/organisation-digest';
import { acceptInvitation, PASSWORD } from '../support/people';
import { sealAllEntries } from '../support/seal-audit-trail';
import { send } from '../support/send';
import { startTestApp, type TestApp } from '../support/test-app';
import { createTestDatabase, type TestDatabase } from '../support/test-database';
import { TEST_SECRET } from '../support/test-secret';
import { buildWorld, type World } from '../support/world';

let folder: string;
let test: TestApp;
let world: World;
let filledId: string;
let file: string;
let tablesBefore: { name: string; rows: string }[];
let reader: { key: string; before: string; beyond: string };
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'precharge-backup-'));
  test = await startTestApp({ requestsPerMinute: 10_000_000 });
  world = await buildWorld(test, 'Tarn Valley Patient Transport');
  filledId = (await fillOrganisation(test.database.ownerUrl, 3)).organisationId;
  const operator = await Operator.of(test, 'An operator that follows the feed');
  await operator.fleet('Before the backup');
  const before = await changesUntil(operator.admin, '', 'Before the backup');
  file = join(folder, 'backup');
  tablesBefore = await rowsOfTables(test.database.ownerUrl);
  await writeBackup(test.database.ownerUrl, TEST_SECRET, file);
  await operator.fleet('After the backup');
  const beyond = await changesUntil(operator.admin, before.next, 'After the backup');
  reader = { key: operator.organisation.administratorKey, before: before.next, beyond: beyond.next };
});
afterAll(async () => {
  await test.close();
  rmSync(folder, { recursive: true, force: true });
});

interface Changes {
  items: object[];
  next: string;
}

/** Follows the feed until something is told; what is settled depends on every transaction of the server. */
async function changesUntil(admin: ApiClient, after: string, told: string): Promise<Changes> {
  for (;;) {
    const query = after === '' ? '' : `?after=${encodeURIComponent(after)}`;
    const changes = await admin.ok<Changes>('get', `/v1/changes${query}`);
    if (JSON.stringify(changes.items).includes(told)) return changes;
    await sleep(20);
  }
}

/** A database in which there is nothing, for the length of some work. */
async function inEmptyDatabase<T>(work: (database: TestDatabase) => Promise<T>): Promise<T> {
  const database = await createTestDatabase();
  try {
    return await work(database);
  } finally {
    await database.drop();
  }
}

async function query<Row extends object>(url: string, sql: string): Promise<Row[]> {
  const client = new Client({ connectionString: url });
  await client.connect();
  try {
    return (await client.query<Row>(sql)).rows;
  } finally {
    await client.end();
  }
}

/** The application on a database that was restored. */
async function onRestored<T>(
  from: string,
  work: (app: TestApp, restored: RestoredBackup) => Promise<T>,
): Promise<T> {
  return inEmptyDatabase(async ({ url }) => {
    const restored = await restoreBackup(url, from);
    const database = await openDatabase(url, TEST_SECRET, null);
    const app = await startTestApp({ requestsPerMinute: 10_000_000 }, { beside: { ...test, database } });
    try {
      return await work(app, restored);
    } finally {
      await app.close();
    }
  });
}

const rowsOfTables = (ownerUrl: string): Promise<{ name: string; rows: string }[]> =>
  query(
    ownerUrl,
    `SELECT format('%s.%s', n.nspname, c.relname) AS name,
        (xpath('/row/c/text()', query_to_xml(format('SELECT count(*) AS c FROM %I.%I', n.nspname, c.relname), false,
          true, '')))[1]::text AS rows
      FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
      WHERE n.nspname IN ('public', 'app') AND c.relkind = 'r' AND c.relpersistence = 'p'
        AND c.relname NOT IN ('histories', 'person_sessions') ORDER BY 1`,
  );

describe('a restored database', () => {
  it('holds every row as it was, of every table', async () => {
    const { organisationId } = world.organisation;
    await onRestored(file, async (restored) => {
      for (const id of [organisationId, filledId]) {
        const [there, here] = [await organisationDigest(restored, id), await organisationDigest(test, id)];
        // what signs people in is looked at below
        const apart = { people: '', person_sessions: '' };
        expect({ ...there, ...apart }).toEqual({ ...here, ...apart });
      }
      expect(await rowsOfTables(restored.database.ownerUrl)).toEqual(tablesBefore);
      expect(tablesBefore.filter(({ rows }) => rows !== '0').length).toBeGreaterThan(40);
    });
  });

  it('lets people in with their passwords, and with nothing that may have ended since', async () => {
    const { person, invited } = world;
    const people = (url: string): Promise<object[]> =>
      query(
        url,
        `SELECT id, name, email, address_digest, role, fleet_ids, workshop_ids, technician_id, state, password_hash,
            last_signed_in_at, revision FROM people ORDER BY organisation_id, id`,
      );
    await onRestored(file, async (restored) => {
      const made = await people(test.database.ownerUrl);
      expect(await people(restored.database.ownerUrl)).toEqual(made);
      expect(made.length).toBeGreaterThan(3);
      expect(await query(restored.database.ownerUrl, 'SELECT FROM person_sessions')).toEqual([]);
      const whoAmI = { key: person.session };
      expect((await send(test, 'GET', '/v1/session', whoAmI)).status).toBe(200);
      expect((await send(restored, 'GET', '/v1/session', whoAmI)).body.type).toBe(
        '/problems/session-not-valid',
      );
      const accepted = await acceptInvitation(restored, invited.invitation);
      expect(accepted.body.type).toBe('/problems/invitation-not-valid');
      const body = { email: person.email, password: PASSWORD };
      expect((await send(restored, 'POST', '/v1/sessions', { body })).status).toBe(201);
    });
  });

  it('has the schema that its migrations make, constraints and triggers included', async () => {
    const catalogue = (ownerUrl: string): Promise<object[]> =>
      query(
        ownerUrl,
        `SELECT k.conrelid::regclass::text, conname, pg_get_constraintdef(k.oid), convalidated FROM pg_constraint k
          WHERE connamespace IN ('public'::regnamespace, 'app'::regnamespace)
          UNION ALL SELECT tgrelid::regclass::text, tgname, pg_get_triggerdef(oid), tgenabled = 'O' FROM pg_trigger
            WHERE NOT tgisinternal
          UNION ALL SELECT indrelid::regclass::text, indexrelid::regclass::text, pg_get_indexdef(indexrelid), indisvalid
            FROM pg_index WHERE indrelid::regclass::text NOT LIKE 'pg_%' AND indrelid::regclass::text NOT LIKE 'jobs.%'
          ORDER BY 1, 2, 3`,
      );
    await onRestored(file, async ({ database }) => {
      const made = await catalogue(test.database.ownerUrl);
      expect(await catalogue(database.ownerUrl)).toEqual(made);
      expect(made.length).toBeGreaterThan(200);
    });
  });

  it('is worked with as before: keys, due items, numbers that are given, audit trail, waiting work', async () => {
    const { organisationId } = world.organisation;
    await onRestored(file, async (restored, { jobs }) => {
      const admin = apiClient(restored, world.keys.administrator);
      const path = `/v1/vehicles/${world.ids.vehicleId!}/due-items`;
      const before = apiClient(test, world.keys.administrator);
      expect(await admin.ok('get', path)).toEqual(await before.ok('get', path));

      const principal = systemPrincipal(organisationId, 'check');
      const checks = restored.app.get(AuditChecksService);
      const atFirst = await checks.check(principal, {});
      expect(atFirst).toMatchObject({ complete: true, fault: null });
      await admin.ok('post', '/v1/fleets', { body: { name: 'After the restore' } });
      expect(await sealAllEntries(restored, organisationId)).toBeGreaterThan(0);
      const later = await checks.check(principal, { heads: [atFirst.checkedUpTo] });
      expect(later).toMatchObject({ complete: true, fault: null });
      expect(later.entriesChecked).toBeGreaterThan(atFirst.entriesChecked);

      await restored.app.get(DueItemsService).recomputeInBatches(principal);
      expect((await organisationDigest(restored, organisationId)).due_items).toBe(
        (await organisationDigest(test, organisationId)).due_items,
      );

      expect(jobs.length).toBeGreaterThan(0);
      expect(await queuePendingJobs(restored.database.ownerUrl, jobs)).toBe(0);
      const waiting = (url: string): Promise<object[]> =>
        query(url, `SELECT id, name, data, start_after FROM jobs.job WHERE state < 'completed' ORDER BY id`);
      expect(await waiting(restored.database.ownerUrl)).toEqual(await waiting(test.database.ownerUrl));
    });
  });

  it('can be backed up again, to the same rows', async () => {
    await onRestored(file, async ({ database }) => {
      const again = join(folder, 'again');
      await writeBackup(database.ownerUrl, TEST_SECRET, again);
      // a restore begins a history of its own, and ends sessions and invitations
      const apart = /^COPY (app\.histories|public\.people|public\.person_sessions) (.|\n)*?\n-- table .*\n/gm;
      const rowsIn = (name: string): string[] =>
        gunzipSync(readFileSync(name))
          .toString('utf8')
          .replace(apart, '')
          .split('\n')
          .filter((line) => !/^-- (header|job|end) /.test(line));
      expect(rowsIn(again)).toEqual(rowsIn(file));
    });
  });

  it('tells a reader of the feed who has seen more than it holds, and goes on for one who has not', async () => {
    await onRestored(file, async (restored) => {
      const admin = apiClient(restored, reader.key);
      const read = (after: string): string => `/v1/changes?after=${encodeURIComponent(after)}`;
      const none = await admin.ok<Changes>('get', read(reader.before));
      expect(none.items).toEqual([]);
      await admin.ok('post', '/v1/fleets', { body: { name: 'After the restore' } });
      for (const after of [reader.before, none.next])
        expect((await changesUntil(admin, after, 'After the restore')).items.length).toBe(1);
      // "After the backup" never was, as far as this database knows
      expect(await admin.refused('get', read(reader.beyond))).toEqual([410, 'after']);
    });
  });

  it('comes up to date when the backup has an older schema', async () => {
    await inEmptyDatabase(async (old) => {
      const older = knownMigrations().slice(0, -1);
      await migrateTo(old.url, older);
      await query(old.url, `INSERT INTO organisations (name) VALUES ('Tarn Valley Patient Transport')`);
      const oldFile = join(folder, 'older');
      await writeBackup(old.url, TEST_SECRET, oldFile);
      await inEmptyDatabase(async (restored) => {
        expect((await restoreBackup(restored.url, oldFile)).header.migrations).toEqual(older);
        expect((await migrate(restored.url)).length).toBe(1);
        expect(await query(restored.url, 'SELECT name FROM organisations')).toEqual([
          { name: 'Tarn Valley Patient Transport' },
        ]);
      });
    });
  });
});

it('a backup is of one moment, while writers go on', async () => {
  const operator = await Operator.of(test, 'An operator at work');
  const fleetId = await operator.fleet('Patient transport');
  const depotId = await operator.depot(fleetId, 'Upper Tarn');
  const vehicleId = await operator.vehicle(depotId, 'TVP 101');
  const run = { writing: true };
  let acknowledged = 0;
  const writers = [1, 2, 3, 4].map(async (writer) => {
    for (let n = 0; run.writing; n++) {
      const readAt = new Date(Date.UTC(2026, 0, 1) + (n * 4 + writer) * 60_000).toISOString();
      const body = { value: 1_000 + n, readAt, source: 'driver-sheet' };
      await operator.admin.ok('post', `/v1/vehicles/${vehicleId}/odometer-readings`, { body });
      acknowledged += 1;
    }
  });
  const sealing = (async () => {
    while (run.writing) await test.app.get(AuditSealingService).seal(operator.organisationId);
  })();
  const waitFor = async (count: number): Promise<void> => {
    while (acknowledged < count) await sleep(5);
  };
  await waitFor(10);
  const before = acknowledged;
  const busy = join(folder, 'busy');
  await writeBackup(test.database.ownerUrl, TEST_SECRET, busy);
  await waitFor(acknowledged + 10);
  run.writing = false;
  await Promise.all([...writers, sealing]);

  await onRestored(busy, async (restored) => {
    const there = await operatorFigures(restored, operator.organisationId);
    expect(there.readings).toBeGreaterThanOrEqual(before);
    expect(there.readings).toBeLessThan(acknowledged);
    // each reading came with its entry, or not at all
    expect(there.entries).toBe(there.readings);
    const principal = systemPrincipal(operator.organisationId, 'check');
    await sealAllEntries(restored, operator.organisationId);
    expect(await restored.app.get(AuditChecksService).check(principal, {})).toMatchObject({
      complete: true,
      fault: null,
    });
    const digest = (): Promise<Record<string, string>> =>
      organisationDigest(restored, operator.organisationId);
    const stored = (await digest()).due_items;
    await restored.app.get(DueItemsService).recomputeInBatches(principal);
    expect((await digest()).due_items).toBe(stored);
  });
});

async function operatorFigures(
  { database }: TestApp,
  organisationId: string,
): Promise<{ readings: number; entries: number }> {
  const [row] = await query<{ readings: number; entries: number }>(
    database.ownerUrl,
    `SELECT (SELECT count(*)::integer FROM odometer_readings WHERE organisation_id = '${organisationId}') AS readings,
        (SELECT count(*)::integer FROM audit_entries WHERE organisation_id = '${organisationId}'
          AND subject_type = 'odometer-reading') AS entries`,
  );
  return row!;
}

describe('what is refused', () => {
  const refusal = (work: Promise<unknown>): Promise<string> =>
    work.then(
      () => 'nothing was refused',
      (error: unknown) => (error instanceof Error ? `${error.constructor.name}: ${error.message}` : ''),
    );
  const restoring = (name: string): Promise<string> =>
    inEmptyDatabase(async ({ url }) => {
      const answer = await refusal(restoreBackup(url, name));
      const [left] = await query<{ rows: number }>(
        url,
        `SELECT count(*)::integer AS rows FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relname = 'fleets'`,
      );
      // a schema may be there, but no row
      if (left?.rows === 1) expect(await query(url, 'SELECT FROM organisations')).toEqual([]);
      return answer;
    });
  /** The backup with something changed in it, packed again. */
  const changed = (name: string, change: (text: string) => string): string => {
    const path = join(folder, name);
    writeFileSync(path, gzipSync(change(gunzipSync(readFileSync(file)).toString('utf8'))));
    return path;
  };

  it('a file that exists, which stays as it is', async () => {
    const before = readFileSync(file);
    expect(await refusal(writeBackup(test.database.ownerUrl, TEST_SECRET, file))).toMatch(
      /^BackupError: .* exists already\. Give another name\.$/,
    );
    expect(readFileSync(file).equals(before)).toBe(true);
    // names and readings of a fleet are for the eyes of whoever made the file
    expect(statSync(file).mode & 0o777).toBe(0o600);
  });

  it('a database with data, which stays as it is', async () => {
    const before = await organisationDigest(test, filledId);
    expect(await refusal(restoreBackup(test.database.ownerUrl, file))).toMatch(
      /^BackupError: The database is not empty: there are rows in public\.\w+\. Restore into a new one/,
    );
    expect(await organisationDigest(test, filledId)).toEqual(before);
  });

  it('a role that row security holds back', async () => {
    const partial = join(folder, 'partial');
    expect(await refusal(writeBackup(test.database.appUrl, TEST_SECRET, partial))).toMatch(
      /^BackupError: The role of DATABASE_URL does not see every row\./,
    );
    expect(statSync(partial, { throwIfNoEntry: false })).toBeUndefined();
    expect(statSync(`${partial}.partial`, { throwIfNoEntry: false })).toBeUndefined();
  });

  it('no file, another file, and a file that is cut off', async () => {
    const path = join(folder, 'spoilt');
    expect(await restoring(join(folder, 'nowhere'))).toMatch(/^BackupError: There is no file/);
    writeFileSync(path, 'a letter');
    expect(await restoring(path)).toMatch(/^BackupError: .* cut off or cannot be unpacked\.$/);
    writeFileSync(path, gzipSync('SELECT 1;\n'));
    expect(await restoring(path)).toMatch(/^BackupError: .* is no backup of this service\.$/);
    const whole = readFileSync(file);
    for (const share of [0.1, 0.5, 0.9, 0.999]) {
      writeFileSync(path, whole.subarray(0, Math.floor(whole.length * share)));
      expect(await restoring(path)).toMatch(/^BackupError: .* cut off/);
    }
    const unpacked = gunzipSync(whole);
    writeFileSync(path, gzipSync(unpacked.subarray(0, unpacked.length / 2)));
    expect(await restoring(path)).toMatch(/^BackupError: .* is cut off\.$/);
  });

  it('rows that are not those that were written', async () => {
    const wrong = changed('wrong', (text) => text.replace('Upper Tarn\t', 'Lower Tarn\t'));
    const message = /^BackupError: .* the rows of public\.\w+ are not those that were written\.$/;
    expect(await restoring(wrong)).toMatch(message);
    expect(await refusal(checkBackup(wrong))).toMatch(message);
    const missing = changed('missing', (text) =>
      text.replace(/^COPY public\.bays (.|\n)*?\n-- table .*\n/m, ''),
    );
    expect(await restoring(missing)).toMatch(/^BackupError: .* parts of it are missing\.$/);
    expect((await checkBackup(file)).end.rows).toBeGreaterThan(100);
  });

  it('a backup of a later version, and one of another format', async () => {
    const later = changed('later', (text) =>
      text.replace(/"migrations":\[/, '"migrations":["9999999999999",'),
    );
    expect(await restoring(later)).toMatch(/^BackupError: This backup was made by a later version/);
    const other = changed('other', (text) => text.replace('"format":1', '"format":2'));
    expect(await restoring(other)).toMatch(/^BackupError: .* its format is 2/);
  });
});
