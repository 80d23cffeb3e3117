import { join } from 'node:path';
import { DataSource } from 'typeorm';
import { SnakeCaseNaming } from './snake-case-naming';

/** A connection as the owner of the schema: for migrations only, never for requests. */
export function ownerDataSource(url: string, entities: string[] = []): DataSource {
  return new DataSource({
    type: 'postgres',
    url,
    entities,
    // compiled beside this file's own compiled form, or as source under the test runner
    migrations: [join(__dirname, '../../../migrations/*.{js,ts}')],
    migrationsTableName: 'schema_migrations',
    namingStrategy: new SnakeCaseNaming(),
    installExtensions: false,
    uuidExtension: 'pgcrypto',
  });
}

/** Brings the schema up to date; two processes that start together take turns. */
export async function migrate(ownerUrl: string): Promise<string[]> {
  const dataSource = await ownerDataSource(ownerUrl).initialize();
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
