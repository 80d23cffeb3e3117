import { createHmac, randomBytes } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { Client, escapeIdentifier, escapeLiteral } from 'pg';
import type { Config } from '../config/config';
import { defaultDataDirectory } from './embedded-postgres/default-data-directory';
import { startEmbeddedPostgres } from './embedded-postgres/start-embedded-postgres';
import { sqlStateOf } from './connection-errors';
import { migrate } from './migrate';
import { prepareJobs } from './prepare-jobs';

/** Where the data are, and with which rights. */
export interface OpenDatabase {
  /** owner of the schema: migrations and setting up organisations */
  ownerUrl: string;
  /** restricted role under forced row security: everything else */
  appUrl: string;
  /** signs cursors */
  secret: string;
}

const APP_ROLE = 'precharge_app';
const DATABASE_NAME = 'precharge';

/** A database server that is ready to be connected to. */
export interface DatabaseServer {
  /** connection of the owner */
  ownerUrl: string;
  secret: string;
  /** where the data are, for people; null for a server of one's own */
  explanation: string | null;
  stop(): Promise<void>;
}

/**
 * One's own server where DATABASE_URL names one, else the embedded one, started if need be.
 *
 * @param keepRunning the embedded server outlives this process (and the next start finds it warm)
 */
export async function findDatabaseServer(
  config: Config,
  keepRunning: boolean,
  databaseName = DATABASE_NAME,
): Promise<DatabaseServer> {
  if (config.databaseUrl !== null && config.secret !== null) {
    return {
      ownerUrl: config.databaseUrl,
      secret: config.secret,
      explanation: null,
      stop: () => Promise.resolve(),
    };
  }
  const { dataDir, explanation } = defaultDataDirectory(process.cwd(), process.env);
  const server = await startEmbeddedPostgres({
    dataDir,
    mode: keepRunning ? 'detached' : 'child',
    durable: true,
  });
  await ensureDatabase(server.url(), databaseName);
  return {
    ownerUrl: server.url(databaseName),
    secret: config.secret ?? keptSecret(join(dirname(dataDir), 'secret')),
    explanation,
    stop: () => (keepRunning ? Promise.resolve() : server.stop()),
  };
}

/** Migrates the database at `ownerUrl` and gives the restricted role its password. */
export async function openDatabase(
  ownerUrl: string,
  secret: string,
  appDatabaseUrl: string | null,
): Promise<OpenDatabase> {
  await migrate(ownerUrl);
  await prepareJobs(ownerUrl, APP_ROLE);
  if (appDatabaseUrl !== null) return { ownerUrl, appUrl: appDatabaseUrl, secret };

  // Every process derives the same password, so none has to be passed around or stored.
  const password = createHmac('sha256', secret).update('password of the application role').digest('hex');
  const appUrl = new URL(ownerUrl);
  appUrl.username = APP_ROLE;
  appUrl.password = password;
  if (!(await canLogIn(appUrl.href))) await setPassword(ownerUrl, password);
  return { ownerUrl, appUrl: appUrl.href, secret };
}

async function canLogIn(url: string): Promise<boolean> {
  const client = new Client({ connectionString: url });
  try {
    await client.connect();
    return true;
  } catch (error) {
    // 28P01 is a wrong password, 28000 a role that may not log in yet
    if (sqlStateOf(error) === '28P01' || sqlStateOf(error) === '28000') return false;
    throw error;
  } finally {
    await client.end();
  }
}

async function setPassword(ownerUrl: string, password: string): Promise<void> {
  // Roles belong to the whole server, locks to one database: so the lock is taken where everybody takes it.
  const common = new URL(ownerUrl);
  common.pathname = '/postgres';
  const client = new Client({ connectionString: common.href });
  await client.connect();
  try {
    await client.query(`SELECT pg_advisory_lock(hashtext('precharge role'))`);
    await client.query(`ALTER ROLE ${escapeIdentifier(APP_ROLE)} LOGIN PASSWORD ${escapeLiteral(password)}`);
  } finally {
    await client.end();
  }
}

async function ensureDatabase(serverUrl: string, name: string): Promise<void> {
  const client = new Client({ connectionString: serverUrl });
  await client.connect();
  try {
    const { rowCount } = await client.query('SELECT FROM pg_database WHERE datname = $1', [name]);
    if (rowCount === 0) await client.query(`CREATE DATABASE ${escapeIdentifier(name)}`);
  } catch (error) {
    // another process that started at the same moment was first
    if (sqlStateOf(error) !== '42P04' && sqlStateOf(error) !== '23505') throw error;
  } finally {
    await client.end();
  }
}

function keptSecret(file: string): string {
  if (!existsSync(file)) {
    mkdirSync(dirname(file), { recursive: true });
    try {
      writeFileSync(file, randomBytes(32).toString('hex'), { mode: 0o600, flag: 'wx' });
    } catch (error) {
      // another process that started at the same moment was first: its secret is as good
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
    }
  }
  return readFileSync(file, 'utf8');
}
