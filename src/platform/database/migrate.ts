import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import { Client } from 'pg';
import { DataSource } from 'typeorm';
import { sqlStateOf } from './connection-errors';
import { SnakeCaseNaming } from './snake-case-naming';

// compiled beside this file's own compiled form, or as source under the test runner
const MIGRATIONS = join(__dirname, '../../../migrations');

/** A connection as the owner of the schema: for migrations only, never for requests. */
export function ownerDataSource(
  url: string,
  entities: string[] = [],
  migrations = [join(MIGRATIONS, '*.{js,ts}')],
): DataSource {
  return new DataSource({
    type: 'postgres',
    url,
    entities,
    migrations,
    migrationsTableName: 'schema_migrations',
    namingStrategy: new SnakeCaseNaming(),
    installExtensions: false,
    uuidExtension: 'pgcrypto',
  });
}

/** Brings the schema up to date; two processes that start together take turns. */
export async function migrate(ownerUrl: string): Promise<string[]> {
  if (await isMigrated(ownerUrl)) return [];
  return runMigrations(ownerUrl);
}

/** The migrations that this version knows, as their timestamps. */
export function knownMigrations(): string[] {
  return [...migrationFiles().keys()].sort();
}

/** Brings an empty database to an earlier state of the schema, which these migrations have made. */
export async function migrateTo(ownerUrl: string, timestamps: readonly string[]): Promise<void> {
  const files = migrationFiles();
  await runMigrations(
    ownerUrl,
    timestamps.flatMap((timestamp) => files.get(timestamp) ?? []),
  );
}

async function runMigrations(ownerUrl: string, files?: string[]): Promise<string[]> {
  const dataSource = await ownerDataSource(ownerUrl, [], files).initialize();
  try {
    const lock = dataSource.createQueryRunner();
    await lock.query(`SELECT pg_advisory_lock(hashtext('precharge schema'))`);
    try {
      return (await dataSource.runMigrations({ transaction: 'each' })).map(({ name }) => name);
    } finally {
      await lock.query(`SELECT pg_advisory_unlock(hashtext('precharge schema'))`);
      await lock.release();
    }
  } finally {
    await dataSource.destroy();
  }
}

// A start finds the schema as it left it nearly every time: one query tells, without setting up the tools.
async function isMigrated(ownerUrl: string): Promise<boolean> {
  const client = new Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    const { rows } = await client.query<{ timestamp: string }>(
      `SELECT timestamp::text FROM schema_migrations ORDER BY timestamp`,
    );
    return isDeepStrictEqual(
      rows.map(({ timestamp }) => timestamp),
      knownMigrations(),
    );
  } catch (error) {
    // no such table: nothing has been migrated yet
    if (sqlStateOf(error) === '42P01') return false;
    throw error;
  } finally {
    await client.end();
  }
}

function migrationFiles(): Map<string, string> {
  const files = readdirSync(MIGRATIONS).flatMap((file): [string, string][] => {
    const timestamp = /^(\d+)-.*(?<!\.d)\.(js|ts)$/.exec(file)?.[1];
    return timestamp === undefined ? [] : [[timestamp, join(MIGRATIONS, file)]];
  });
  return new Map(files);
}
