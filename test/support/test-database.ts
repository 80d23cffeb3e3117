import { randomUUID } from 'node:crypto';
import { Client, escapeIdentifier } from 'pg';

export interface TestDatabase {
  readonly name: string;
  readonly url: string;
  drop(): Promise<void>;
}

// A database of its own for one test file. Copying files is the quick way while nothing is written durably.
export async function createTestDatabase(template = 'template1'): Promise<TestDatabase> {
  const serverUrl = process.env.PRECHARGE_TEST_POSTGRES_URL;
  if (!serverUrl)
    throw new Error('PRECHARGE_TEST_POSTGRES_URL is not set: run under the Jest project "served"');
  const name = `test_${randomUUID().replaceAll('-', '')}`;
  await execute(
    serverUrl,
    `CREATE DATABASE ${name} TEMPLATE ${escapeIdentifier(template)} STRATEGY file_copy`,
  );
  const url = new URL(serverUrl);
  url.pathname = `/${name}`;
  return {
    name,
    url: url.href,
    drop: () => execute(serverUrl, `DROP DATABASE ${name} WITH (FORCE)`),
  };
}

async function execute(url: string, sql: string): Promise<void> {
  const client = new Client({ connectionString: url });
  await client.connect();
  try {
    await client.query(sql);
  } finally {
    await client.end();
  }
}
