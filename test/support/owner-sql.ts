import { Client } from 'pg';
import type { TestApp } from './test-app';

/** A statement as the owner of the database, who is not under row security. */
export async function ownerSql<Row>(
  { database }: TestApp,
  text: string,
  parameters: unknown[] = [],
): Promise<Row[]> {
  const client = new Client({ connectionString: database.ownerUrl });
  await client.connect();
  try {
    return (await client.query(text, parameters)).rows as Row[];
  } finally {
    await client.end();
  }
}
