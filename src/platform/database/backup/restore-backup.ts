import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { Client } from 'pg';
import { from as copyFrom, to as copyTo } from 'pg-copy-streams';
import { migrateTo, knownMigrations } from '../migrate';
import { BackupError } from './backup-error';
import type { BackupEnd, BackupHeader, PendingJob, SequenceState, TableSum } from './backup-format';
import { CountedRows, goThrough } from './counted-rows';
import { readBackup, type BackupPart } from './read-backup';
import { asleep } from './sleeping-constraints';
import { copyIn, copyOut, explainRowSecurity, storedTables, type StoredTable } from './stored-tables';

export interface RestoredBackup {
  header: BackupHeader;
  end: BackupEnd;
  /** background work that is still to be queued, once the queue is there */
  jobs: PendingJob[];
}

/**
 * Fills an empty database with what a backup holds, reads it back and compares. In the end all of it is there, or no
 * row. The schema is that of the backup: later migrations are still to be run.
 *
 * @throws BackupError for a database with data, a backup of a later version, and a file that is not what was written
 */
export async function restoreBackup(ownerUrl: string, file: string): Promise<RestoredBackup> {
  const parts = readBackup(file);
  const client = new Client({ connectionString: ownerUrl, application_name: 'precharge restore' });
  await client.connect();
  try {
    const header = await headerOf(file, parts);
    await makeSchema(client, ownerUrl, header);
    await client.query('BEGIN');
    const restored = await load(client, file, header, parts);
    await client.query('COMMIT');
    await client.query('ANALYZE');
    return restored;
  } catch (error) {
    return explainRowSecurity(error);
  } finally {
    await parts.return(undefined);
    await client.end();
  }
}

/** Reads a whole backup and holds it against its own sums, without any database. */
export async function checkBackup(file: string): Promise<Omit<RestoredBackup, 'jobs'>> {
  const parts = readBackup(file);
  const header = await headerOf(file, parts);
  for await (const part of parts) {
    if (part.kind === 'rows') await goThrough(part.rows);
    else if (part.kind === 'end') return { header, end: part.end };
  }
  throw new Error('a backup that is read to its end has one');
}

async function headerOf(file: string, parts: AsyncGenerator<BackupPart>): Promise<BackupHeader> {
  const first = await parts.next();
  if (first.done === true || first.value.kind !== 'header')
    throw new Error(`${file} does not begin with a header`);
  return first.value.header;
}

async function makeSchema(client: Client, ownerUrl: string, { migrations }: BackupHeader): Promise<void> {
  const known = knownMigrations();
  if (migrations.some((timestamp) => !known.includes(timestamp)))
    throw new BackupError(
      'This backup was made by a later version of the service. Restore it with that one, or a still later one.',
    );
  const tables = await storedTables(client);
  for (const { name } of tables.filter((table) => table.name.startsWith('public.'))) {
    const { rowCount } = await client.query(`SELECT FROM ${name} LIMIT 1`);
    if (rowCount !== 0)
      throw new BackupError(
        `The database is not empty: there are rows in ${name}. Restore into a new one: another PRECHARGE_DATA_DIR, ` +
          'or a DATABASE_URL that names an empty database.',
      );
  }
  if (tables.length === 0) await migrateTo(ownerUrl, migrations);
  const { rows } = await client.query<{ timestamp: string }>(
    'SELECT timestamp::text FROM schema_migrations ORDER BY timestamp',
  );
  if (JSON.stringify(rows.map(({ timestamp }) => timestamp)) !== JSON.stringify(migrations))
    throw new BackupError(
      'The database holds no data, but a schema that is not the one of the backup. Restore into a new database: ' +
        'another PRECHARGE_DATA_DIR, or a DATABASE_URL that names an empty database.',
    );
}

async function load(
  client: Client,
  file: string,
  header: BackupHeader,
  parts: AsyncGenerator<BackupPart>,
): Promise<RestoredBackup> {
  const tables = new Map((await storedTables(client)).map((table) => [table.name, table]));
  const jobs: PendingJob[] = [];
  return asleep(client, [...tables.keys()], async () => {
    for await (const part of parts) {
      if (part.kind === 'rows') await loadRows(client, tables.get(part.table), part);
      else if (part.kind === 'sequence') await setSequence(client, part.sequence);
      else if (part.kind === 'job') jobs.push(part.job);
      else if (part.kind === 'end') {
        await compare(client, file, [...tables.values()], part.sums);
        await beginHistory(client, header);
        await forgetSignIns(client);
        return { header, end: part.end, jobs };
      }
    }
    throw new Error('a backup that is read to its end has one');
  });
}

type Rows = Extract<BackupPart, { kind: 'rows' }>;

async function loadRows(client: Client, target: StoredTable | undefined, part: Rows): Promise<void> {
  const { table, columns, rows } = part;
  if (target === undefined || columns.join() !== target.columns.join())
    throw new BackupError(`The backup has a table ${table} that is not that of its own schema.`);
  // what the migrations have put there stands in the backup too, as it was
  await client.query(`DELETE FROM ${target.name}`);
  await pipeline(Readable.from(rows), client.query(copyFrom(copyIn(target))));
}

async function setSequence(client: Client, { sequence, lastValue, isCalled }: SequenceState): Promise<void> {
  await client.query('SELECT setval($1::regclass, $2::bigint, $3)', [sequence, lastValue, isCalled]);
}

// Schemas before that of the change feed's end of histories have nobody to tell.
async function beginHistory(client: Client, { settledBefore }: BackupHeader): Promise<void> {
  const { rows } = await client.query<{ there: boolean }>(
    `SELECT to_regprocedure('app.begin_history(bigint)') IS NOT NULL AS there`,
  );
  if (rows[0]?.there === true) await client.query('SELECT app.begin_history($1)', [settledBefore]);
}

// Sessions and invitations of a backup may have been ended since, and nobody would know. Passwords stay.
async function forgetSignIns(client: Client): Promise<void> {
  const { rows } = await client.query<{ there: boolean }>(
    `SELECT to_regprocedure('app.forget_sign_ins()') IS NOT NULL AS there`,
  );
  if (rows[0]?.there === true) await client.query('SELECT app.forget_sign_ins()');
}

/** What the database gives now has to be what it was, row by row. */
async function compare(
  client: Client,
  file: string,
  tables: readonly StoredTable[],
  sums: readonly TableSum[],
): Promise<void> {
  const expected = new Map(sums.map((sum) => [sum.table, sum]));
  for (const table of tables) {
    const counted = new CountedRows();
    await goThrough(counted.of(client.query(copyTo(copyOut(table)))));
    const { rows, sha256 } = counted.sum();
    const sum = expected.get(table.name);
    if (sum?.rows !== rows || sum.sha256 !== sha256)
      throw new BackupError(
        `${table.name} has ${rows} rows now that are not the ${sum?.rows ?? 0} of ${file}. Nothing was kept.`,
      );
  }
}
