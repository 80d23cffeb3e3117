import { createHmac } from 'node:crypto';
import { createWriteStream, existsSync } from 'node:fs';
import { open, rename, rm } from 'node:fs/promises';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { createGzip } from 'node:zlib';
import { Client } from 'pg';
import { to as copyTo } from 'pg-copy-streams';
import { JOBS_SCHEMA } from '../../jobs/job-queues';
import { sqlStateOf } from '../connection-errors';
import { BackupError } from './backup-error';
import {
  END_OF_ROWS,
  FORMAT,
  remark,
  TITLE,
  type BackupEnd,
  type BackupHeader,
  type PendingJob,
  type SequenceState,
} from './backup-format';
import { CountedRows } from './counted-rows';
import { copyIn, copyOut, explainRowSecurity, storedTables } from './stored-tables';

/**
 * Writes every row into one file, as of one moment, while everybody goes on working. The file appears under its name
 * when it is whole and on the disk.
 *
 * @throws BackupError for a file that exists already, and for a role that does not see all rows
 */
export async function writeBackup(ownerUrl: string, secret: string, file: string): Promise<BackupEnd> {
  if (existsSync(file)) throw new BackupError(`${file} exists already. Give another name.`);
  const draft = `${file}.partial`;
  const client = new Client({ connectionString: ownerUrl, application_name: 'precharge backup' });
  await client.connect();
  try {
    const end: BackupEnd = { tables: 0, rows: 0, jobs: 0 };
    // it holds names and readings of a fleet: for its owner's eyes
    const target = createWriteStream(draft, { mode: 0o600, flags: 'w' });
    await pipeline(Readable.from(contents(client, secret, end)), createGzip(), target);
    await onDisk(draft);
    await rename(draft, file);
    return end;
  } catch (error) {
    await rm(draft, { force: true });
    return explainRowSecurity(error);
  } finally {
    await client.end();
  }
}

async function onDisk(file: string): Promise<void> {
  const handle = await open(file, 'r+');
  await handle.sync();
  await handle.close();
}

async function* contents(client: Client, secret: string, end: BackupEnd): AsyncGenerator<string | Buffer> {
  // nobody changes the schema meanwhile; taken before the snapshot, which must not be older than the last change
  await client.query(`SELECT pg_advisory_lock_shared(hashtext('precharge schema'))`);
  await client.query('BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY');
  const tables = await storedTables(client);
  yield `${TITLE}\n`;
  yield remark('header', await headerOf(client, secret));
  for (const table of tables) {
    const counted = new CountedRows();
    yield `${copyIn(table)};\n`;
    yield* counted.of(client.query(copyTo(copyOut(table))));
    yield `${END_OF_ROWS}\n`;
    const sum = counted.sum();
    yield remark('table', { table: table.name, ...sum });
    end.tables += 1;
    end.rows += sum.rows;
  }
  for (const sequence of await sequences(client)) yield remark('sequence', sequence);
  for (const job of await pendingJobs(client)) {
    yield remark('job', job);
    end.jobs += 1;
  }
  await client.query('COMMIT');
  yield remark('end', end);
}

async function headerOf(client: Client, secret: string): Promise<BackupHeader> {
  const { rows } = await client.query<Omit<BackupHeader, 'format' | 'secretFingerprint'>>(
    `SELECT to_char(now() AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS"Z"') AS "takenAt",
        current_setting('server_version') AS "serverVersion", app.settled_before()::text AS "settledBefore",
        ARRAY(SELECT timestamp::text FROM schema_migrations ORDER BY timestamp) AS migrations`,
  );
  const [known] = rows;
  if (known === undefined) throw new Error('a query without FROM answers one row');
  return { format: FORMAT, ...known, secretFingerprint: fingerprintOf(secret) };
}

/** The same for the same secret; nobody learns the secret from it. */
export function fingerprintOf(secret: string): string {
  return createHmac('sha256', secret).update('fingerprint for backups').digest('hex').slice(0, 16);
}

async function sequences(client: Client): Promise<SequenceState[]> {
  const { rows } = await client.query<{ name: string }>(
    `SELECT format('%I.%I', n.nspname, c.relname) AS name
      FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
      WHERE n.nspname IN ('public', 'app') AND c.relkind = 'S' AND c.relname NOT LIKE 'schema_migrations%' ORDER BY 1`,
  );
  const states: SequenceState[] = [];
  for (const { name } of rows) {
    const found = await client.query<SequenceState>(
      `SELECT $1 AS sequence, last_value::text AS "lastValue", is_called AS "isCalled" FROM ${name}`,
      [name],
    );
    states.push(...found.rows);
  }
  return states;
}

// Through the queue's own table, which has no interface for looking at all that waits.
async function pendingJobs(client: Client): Promise<PendingJob[]> {
  await client.query('SAVEPOINT before_jobs');
  try {
    const { rows } = await client.query<PendingJob>(
      `SELECT name AS queue, id, data, priority, singleton_key AS "singletonKey",
          to_char(start_after AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"') AS "startAfter"
        FROM ${JOBS_SCHEMA}.job WHERE state < 'completed' ORDER BY created_on, id`,
    );
    return rows;
  } catch (error) {
    // a database that no service has run on yet has no queue
    if (sqlStateOf(error) !== '42P01') throw error;
    await client.query('ROLLBACK TO before_jobs');
    return [];
  }
}
