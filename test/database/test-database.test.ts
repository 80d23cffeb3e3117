import { Client } from 'pg';
import { createTestDatabase } from '../support/test-database';

async function query<Row extends object>(url: string, sql: string): Promise<Row[]> {
  const client = new Client({ connectionString: url });
  await client.connect();
  try {
    return (await client.query<Row>(sql)).rows;
  } finally {
    await client.end();
  }
}

jest.setTimeout(60_000);

it('a test database is a copy of its template that nobody else sees', async () => {
  const template = await createTestDatabase();
  await query(template.url, `create table fact as select 'of the template' as origin`);
  const [left, right] = await Promise.all([
    createTestDatabase(template.name),
    createTestDatabase(template.name),
  ]);
  await query(left.url, `update fact set origin = 'changed'`);
  expect(await query(right.url, 'select origin from fact')).toEqual([{ origin: 'of the template' }]);

  for (const database of [template, left, right]) await database.drop();
  const names = await query<{ datname: string }>(
    process.env.PRECHARGE_TEST_POSTGRES_URL!,
    'select datname from pg_database',
  );
  expect(names.map(({ datname }) => datname)).not.toContain(left.name);
});
