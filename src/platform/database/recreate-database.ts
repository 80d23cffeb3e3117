import { Client, escapeIdentifier } from 'pg';

/** Drops the database that the URL names, with everybody who is connected to it, and makes it anew, empty. */
export async function recreateDatabase(ownerUrl: string): Promise<void> {
  const url = new URL(ownerUrl);
  const name = escapeIdentifier(url.pathname.slice(1));
  url.pathname = '/postgres';
  const client = new Client({ connectionString: url.href });
  await client.connect();
  try {
    await client.query(`DROP DATABASE IF EXISTS ${name} WITH (FORCE)`);
    await client.query(`CREATE DATABASE ${name}`);
  } finally {
    await client.end();
  }
}
