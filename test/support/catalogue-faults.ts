import type { Client } from 'pg';

const TENANT_TABLES = `SELECT c.oid, c.relname FROM pg_class c
  WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND c.relname <> 'schema_migrations'`;

/** Where the catalogue of a database breaks the rules of tenancy, in words; empty when it keeps them all. */
export async function catalogueFaults(client: Client): Promise<string[]> {
  const faults: string[] = [];
  for (const [rule, sql] of Object.entries(RULES)) {
    const { rows } = await client.query<{ subject: string }>(sql);
    faults.push(...rows.map(({ subject }) => `${subject}: ${rule}`));
  }
  return faults.sort();
}

const POLICY_NAMES_ORGANISATION = '%(organisation_id = ( SELECT app.organisation_id()%';

// Postgres writes an expression of the catalogue back in its own words, so the patterns follow those
const RULES: Readonly<Record<string, string>> = {
  'has no organisation_id': `WITH t AS (${TENANT_TABLES})
    SELECT relname AS subject FROM t WHERE NOT EXISTS (SELECT FROM pg_attribute a
      WHERE a.attrelid = t.oid AND a.attname = 'organisation_id' AND a.attnotnull AND NOT a.attisdropped)`,

  'row security is not both enabled and forced': `WITH t AS (${TENANT_TABLES})
    SELECT relname AS subject FROM t JOIN pg_class c USING (oid, relname)
      WHERE NOT (c.relrowsecurity AND c.relforcerowsecurity)`,

  'has not exactly one policy, for every command and every role': `WITH t AS (${TENANT_TABLES})
    SELECT relname AS subject FROM t LEFT JOIN pg_policy p ON p.polrelid = t.oid GROUP BY t.oid, t.relname
      HAVING count(p.oid) <> 1 OR NOT bool_and(p.polcmd = '*' AND p.polpermissive AND p.polroles = '{0}')`,

  'the policy does not compare the organisation, both for reading and for writing': `WITH t AS (${TENANT_TABLES})
    SELECT relname AS subject FROM t JOIN pg_policy p ON p.polrelid = t.oid
      WHERE COALESCE(pg_get_expr(p.polqual, t.oid), '') NOT LIKE '${POLICY_NAMES_ORGANISATION}'
         OR COALESCE(pg_get_expr(p.polwithcheck, t.oid), '') NOT LIKE '${POLICY_NAMES_ORGANISATION}'`,

  'the policy does not compare the fleet, both for reading and for writing': `WITH t AS (${TENANT_TABLES}),
      scoped AS (
        SELECT t.oid, t.relname, 'fleet_id' AS fleet_column FROM t JOIN pg_attribute a ON a.attrelid = t.oid
          WHERE a.attname = 'fleet_id' AND NOT a.attisdropped
        UNION ALL SELECT t.oid, t.relname, 'id' FROM t WHERE relname = 'fleets'
      )
    SELECT relname AS subject FROM scoped LEFT JOIN pg_policy p ON p.polrelid = scoped.oid
      WHERE COALESCE(pg_get_expr(p.polqual, scoped.oid), '') NOT LIKE '%(' || fleet_column || ' = ANY (%app.fleet_ids()%'
         OR COALESCE(pg_get_expr(p.polwithcheck, scoped.oid), '') NOT LIKE '%(' || fleet_column || ' = ANY (%app.fleet_ids()%'`,

  'the key or constraint does not start with the organisation': `WITH t AS (${TENANT_TABLES})
    SELECT t.relname || '.' || k.conname AS subject FROM t JOIN pg_constraint k ON k.conrelid = t.oid
      WHERE k.contype IN ('p', 'u', 'x', 'f') AND NOT EXISTS (SELECT FROM pg_attribute a
        WHERE a.attrelid = t.oid AND a.attnum = k.conkey[1] AND a.attname = 'organisation_id')`,

  'the foreign key does not lead to the organisation of the other table': `WITH t AS (${TENANT_TABLES})
    SELECT t.relname || '.' || k.conname AS subject FROM t JOIN pg_constraint k ON k.conrelid = t.oid
      WHERE k.contype = 'f' AND NOT EXISTS (SELECT FROM pg_attribute a
        WHERE a.attrelid = k.confrelid AND a.attnum = k.confkey[1] AND a.attname = 'organisation_id')`,

  'the exclusion does not hold within one organisation': `WITH t AS (${TENANT_TABLES})
    SELECT t.relname || '.' || k.conname AS subject FROM t JOIN pg_constraint k ON k.conrelid = t.oid
      WHERE k.contype = 'x' AND (SELECT oprname FROM pg_operator o WHERE o.oid = k.conexclop[1]) <> '='`,

  'the unique index does not start with the organisation': `WITH t AS (${TENANT_TABLES})
    SELECT t.relname || '.' || i.indexrelid::regclass AS subject FROM t JOIN pg_index i ON i.indrelid = t.oid
      WHERE i.indisunique AND NOT EXISTS (SELECT FROM pg_attribute a
        WHERE a.attrelid = t.oid AND a.attnum = i.indkey[0] AND a.attname = 'organisation_id')`,

  'shows rows with the rights of its owner': `SELECT c.relname AS subject FROM pg_class c
      WHERE c.relnamespace IN ('public'::regnamespace, 'app'::regnamespace) AND c.relkind IN ('v', 'm')
    UNION ALL
    SELECT p.proname FROM pg_proc p
      WHERE p.pronamespace IN ('public'::regnamespace, 'app'::regnamespace) AND p.prosecdef`,
};
