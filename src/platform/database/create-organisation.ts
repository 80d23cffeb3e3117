import { randomUUID } from 'node:crypto';
import { Client } from 'pg';
import { formatApiKey, newSecret, sha256 } from '../security/api-key-token';

export interface NewOrganisation {
  organisationId: string;
  /** shown once: only its digest is stored */
  administratorKey: string;
}

/** Sets up a tenant and its first key. Needs the owner's connection: no key can make an organisation. */
export async function createOrganisation(ownerUrl: string, name: string): Promise<NewOrganisation> {
  const organisationId = randomUUID();
  const apiKeyId = randomUUID();
  const secret = newSecret();
  const client = new Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await client.query('BEGIN');
    // row security is forced on the owner as well
    await client.query(`SELECT set_config('app.organisation_id', $1, true)`, [organisationId]);
    await client.query(`INSERT INTO organisations (organisation_id, name) VALUES ($1, $2)`, [
      organisationId,
      name,
    ]);
    await client.query(
      `INSERT INTO api_keys (organisation_id, id, name, role, secret_sha256, created_by)
        VALUES ($1, $2, 'first administrator', 'administrator', $3, 'set-up of the organisation')`,
      [organisationId, apiKeyId, sha256(secret)],
    );
    await client.query('COMMIT');
  } finally {
    await client.end();
  }
  return { organisationId, administratorKey: formatApiKey(organisationId, apiKeyId, secret) };
}
