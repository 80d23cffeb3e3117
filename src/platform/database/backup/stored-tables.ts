import type { Client } from 'pg';
import { sqlStateOf } from '../connection-errors';
import { BackupError } from './backup-error';

/** A table whose rows are kept, with its names as SQL writes them. */
export interface StoredTable {
  name: string;
  columns: string[];
  /** the rows in one order, whatever server they come from */
  order: string[];
}

// Unlogged tables hold nothing that would outlive a crash of the server either.
const TABLES = `
  SELECT format('%I.%I', n.nspname, c.relname) AS name, (
      SELECT array_agg(quote_ident(a.attname) ORDER BY a.attnum) FROM pg_attribute a
        WHERE a.attrelid = c.oid AND a.attnum > 0 AND NOT a.attisdropped AND a.attgenerated = ''
    ) AS columns, (
      SELECT array_agg(quote_ident(a.attname) || CASE WHEN a.attcollation = 0 THEN '' ELSE ' COLLATE "C"' END
          ORDER BY k.place)
        FROM pg_index i
          CROSS JOIN unnest(i.indkey) WITH ORDINALITY AS k (attnum, place)
          JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum = k.attnum
        WHERE i.indrelid = c.oid AND i.indisprimary
    ) AS "order"
  FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
  WHERE n.nspname IN ('public', 'app') AND c.relkind = 'r' AND c.relpersistence = 'p'
    AND c.relname <> 'schema_migrations'
  ORDER BY n.nspname DESC, c.relname`;

// Text of a row that means the same on every server.
const ONE_WAY_TO_WRITE = `
  SET client_encoding = 'UTF8'; SET timezone = 'UTC'; SET datestyle = 'ISO, YMD'; SET intervalstyle = 'postgres';
  SET extra_float_digits = 1; SET bytea_output = 'hex'; SET synchronize_seqscans = off`;

/** Every table of the schema; the connection sees all rows from now on, or fails instead of leaving some out. */
export async function storedTables(client: Client): Promise<StoredTable[]> {
  await client.query(ONE_WAY_TO_WRITE);
  await client.query('SET row_security = off');
  const { rows } = await client.query<Omit<StoredTable, 'order'> & { order: string[] | null }>(TABLES);
  return rows.map(({ name, columns, order }) => {
    if (order === null) throw new Error(`${name} has no primary key`);
    return { name, columns, order };
  });
}

/** The statement that gives all rows of a table, in their order. */
export function copyOut({ name, columns, order }: StoredTable): string {
  return `COPY (SELECT ${columns.join(', ')} FROM ${name} ORDER BY ${order.join(', ')}) TO STDOUT`;
}

/** The statement that takes them in. */
export function copyIn({ name, columns }: Pick<StoredTable, 'name' | 'columns'>): string {
  return `COPY ${name} (${columns.join(', ')}) FROM STDIN`;
}

/** Says what a person can do about a role that row security holds back; other errors pass. */
export function explainRowSecurity(error: unknown): never {
  // 42501 is "insufficient privilege" (PostgreSQL manual, appendix A)
  if (sqlStateOf(error) === '42501')
    throw new BackupError(
      'The role of DATABASE_URL does not see every row. Use a superuser or a role with BYPASSRLS, or pg_dump as ' +
        'docs/operations.md says.',
      { cause: error },
    );
  throw error;
}
