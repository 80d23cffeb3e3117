import { Client } from 'pg';

/** Every tenant, for maintenance by the owner of the schema: no key can see more than one. */
export async function organisationIds(ownerUrl: string): Promise<string[]> {
  const client = new Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    const { rows } = await client.query<{ id: string }>('SELECT organisation_id AS id FROM organisations');
    return rows.map(({ id }) => id);
  } finally {
    await client.end();
  }
}
