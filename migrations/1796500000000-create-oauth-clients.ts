import type { MigrationInterface, QueryRunner } from 'typeorm';

const inOrganisation = 'organisation_id = (SELECT app.organisation_id())';

export class CreateOauthClients1796500000000 implements MigrationInterface {
  name = 'CreateOauthClients1796500000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      CREATE TABLE oauth_clients (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        name text NOT NULL,
        role text NOT NULL,
        scopes text[] NOT NULL,
        fleet_ids uuid[],
        workshop_ids uuid[],
        secret_id uuid NOT NULL,
        secret_sha256 bytea NOT NULL,
        secret_made_at timestamptz NOT NULL,
        previous_secret_sha256 bytea,
        previous_secret_ends_at timestamptz,
        revoked_at timestamptz,
        created_by text NOT NULL,
        created_at timestamptz NOT NULL DEFAULT now(),
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT oauth_clients_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT oauth_clients_role_check CHECK (role IN ('fleet-planner', 'front-desk', 'technician', 'dealer-system', 'administrator')),
        CONSTRAINT oauth_clients_scopes_check CHECK (cardinality(scopes) > 0 AND scopes <@ '{read,write,manage-access}'::text[]),
        CONSTRAINT oauth_clients_previous_secret_check CHECK ((previous_secret_sha256 IS NULL) = (previous_secret_ends_at IS NULL)),
        CONSTRAINT oauth_clients_organisation_fkey FOREIGN KEY (organisation_id) REFERENCES organisations (organisation_id)
      );
      ALTER TABLE oauth_clients ENABLE ROW LEVEL SECURITY;
      ALTER TABLE oauth_clients FORCE ROW LEVEL SECURITY;
      CREATE POLICY oauth_clients_tenant ON oauth_clients USING (${inOrganisation}) WITH CHECK (${inOrganisation});
      GRANT SELECT, INSERT, UPDATE ON oauth_clients TO precharge_app;

      -- Keys that sign access tokens belong to the installation. One of them signs; no two may.
      CREATE TABLE app.signing_keys (
        key_id text PRIMARY KEY,
        public_jwk jsonb NOT NULL,
        sealed_private_key bytea,
        made_at timestamptz NOT NULL,
        retires_at timestamptz,
        CONSTRAINT signing_keys_retired_check CHECK ((sealed_private_key IS NULL) = (retires_at IS NOT NULL))
      );
      CREATE UNIQUE INDEX signing_keys_signing_idx ON app.signing_keys ((true)) WHERE retires_at IS NULL;
      GRANT SELECT, INSERT, UPDATE ON app.signing_keys TO precharge_app;
    `);
    await queryRunner.query(enter({ knowsClients: true }));
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(enter({ knowsClients: false }));
    await queryRunner.query(`DROP TABLE app.signing_keys; DROP TABLE oauth_clients`);
  }
}

// The call at the start of every transaction: narrows the connection to one organisation, and to the fleets and
// workshops of the key or client; answers false when that has been revoked or has expired. Keys are looked for first:
// they are the more frequent, and ids are unique among both.
function enter({ knowsClients }: { knowsClients: boolean }): string {
  const orClient = knowsClients
    ? `IF NOT FOUND THEN
          SELECT c.fleet_ids, c.workshop_ids INTO allowed FROM oauth_clients c
            WHERE c.organisation_id = organisation AND c.id = actor AND c.revoked_at IS NULL;
        END IF;`
    : '';
  return `
    CREATE OR REPLACE FUNCTION app.enter(organisation uuid, api_key uuid) RETURNS boolean LANGUAGE plpgsql AS $$
      DECLARE
        actor ALIAS FOR $2;
        allowed record;
      BEGIN
        PERFORM set_config('app.organisation_id', organisation::text, true), set_config('app.fleet_ids', '', true),
          set_config('app.workshop_ids', '', true);
        IF actor IS NULL THEN RETURN true; END IF;
        SELECT k.fleet_ids, k.workshop_ids INTO allowed FROM api_keys k
          WHERE k.organisation_id = organisation AND k.id = actor AND k.revoked_at IS NULL
            AND (k.expires_at IS NULL OR k.expires_at > now());
        ${orClient}
        IF NOT FOUND THEN
          -- statements that were sent along before the answer was known see nothing
          PERFORM set_config('app.organisation_id', '', true);
          RETURN false;
        END IF;
        IF allowed.fleet_ids IS NOT NULL THEN PERFORM set_config('app.fleet_ids', allowed.fleet_ids::text, true); END IF;
        IF allowed.workshop_ids IS NOT NULL THEN
          PERFORM set_config('app.workshop_ids', allowed.workshop_ids::text, true);
        END IF;
        RETURN true;
      END $$;
  `;
}
