import type { Client } from 'pg';

interface ForeignKey {
  table: string;
  name: string;
  definition: string;
}

/**
 * Loads rows of many tables, which refer to each other in every direction, as pg_restore does: foreign keys are made
 * again after the rows are there, which checks all of them at once, and triggers do not add rows of their own.
 */
export async function asleep<T>(
  client: Client,
  tables: readonly string[],
  load: () => Promise<T>,
): Promise<T> {
  const { rows: keys } = await client.query<ForeignKey>(
    `SELECT k.conrelid::regclass::text AS table, quote_ident(k.conname) AS name, pg_get_constraintdef(k.oid) AS definition
      FROM pg_constraint k WHERE k.contype = 'f' AND k.conrelid = ANY ($1::regclass[]) ORDER BY 1, 2`,
    [tables],
  );
  for (const { table, name } of keys) await client.query(`ALTER TABLE ${table} DROP CONSTRAINT ${name}`);
  for (const table of tables) await client.query(`ALTER TABLE ${table} DISABLE TRIGGER USER`);
  const loaded = await load();
  for (const table of tables) await client.query(`ALTER TABLE ${table} ENABLE TRIGGER USER`);
  for (const { table, name, definition } of keys)
    await client.query(`ALTER TABLE ${table} ADD CONSTRAINT ${name} ${definition}`);
  return loaded;
}
