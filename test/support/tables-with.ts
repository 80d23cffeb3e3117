import type { Operator } from './operator';

/** Tables of every schema of the database that hold a text anywhere, as text or as the digits of bytes. */
export async function tablesWith(operator: Operator, ...texts: string[]): Promise<string[]> {
  const tables = await operator.sql<{ name: string }>(
    `SELECT format('%I.%I', schemaname, tablename) AS name FROM pg_tables
      WHERE schemaname NOT IN ('pg_catalog', 'information_schema') ORDER BY 1`,
  );
  const found: string[] = [];
  for (const { name } of tables) {
    const rows = await operator.sql(`SELECT FROM ${name} t WHERE t::text LIKE ANY ($1) LIMIT 1`, [
      texts.map((text) => `%${text.replace(/[\\%_]/g, '\\$&')}%`),
    ]);
    if (rows.length > 0) found.push(name);
  }
  return found;
}

/** The ways in which a secret in base64url could be stored. */
export function formsOf(secret: string): string[] {
  return [secret, Buffer.from(secret, 'base64url').toString('hex'), Buffer.from(secret).toString('hex')];
}
