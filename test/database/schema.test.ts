import { DataSource } from 'typeorm';
import { join } from 'node:path';
import { ownerDataSource } from '../../src/platform/database/migrate';
import { createTestDatabase, type TestDatabase } from '../support/test-database';

const entities = [join(__dirname, '../../src/**/*.entity.ts')];

let database: TestDatabase;
let dataSource: DataSource;
beforeAll(async () => {
  database = await createTestDatabase();
  dataSource = await ownerDataSource(database.url, entities).initialize();
  await dataSource.runMigrations({ transaction: 'each' });
});
afterAll(async () => {
  await dataSource.destroy();
  await database.drop();
});

it('has no difference between the entities and what the migrations make', async () => {
  const { upQueries } = await dataSource.driver.createSchemaBuilder().log();
  expect(upQueries.map(({ query }) => query)).toEqual([]);
});
