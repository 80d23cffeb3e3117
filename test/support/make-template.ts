import { Client } from 'pg';
import { openDatabase } from '../../src/platform/database/open-database';
import { TEST_SECRET } from './test-secret';

/** made by the first test that needs it */
export const FILLED_TEMPLATE = 'precharge_filled_template';
const TEMPLATE = 'precharge_test_template';

/** A migrated database that each test file copies instead of migrating its own; answers its name. */
export async function makeTemplate(serverUrl: string): Promise<string> {
  const client = new Client({ connectionString: serverUrl });
  await client.connect();
  try {
    // of an earlier run on the same server, whose schema may be another
    for (const name of [TEMPLATE, FILLED_TEMPLATE])
      await client.query(`DROP DATABASE IF EXISTS ${name} WITH (FORCE)`);
    await client.query(`CREATE DATABASE ${TEMPLATE}`);
  } finally {
    await client.end();
  }
  const url = new URL(serverUrl);
  url.pathname = `/${TEMPLATE}`;
  await openDatabase(url.href, TEST_SECRET, null);
  return TEMPLATE;
}
