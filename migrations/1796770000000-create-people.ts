import type { MigrationInterface, QueryRunner } from 'typeorm';

const inOrganisation = 'organisation_id = (SELECT app.organisation_id())';

const tables = ['people', 'person_sessions', 'known_networks'];

export class CreatePeople1796770000000 implements MigrationInterface {
  name = 'CreatePeople1796770000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      ALTER TABLE organisations
        ADD COLUMN distance_unit text NOT NULL DEFAULT 'km',
        ADD COLUMN pressure_unit text NOT NULL DEFAULT 'bar',
        ADD CONSTRAINT organisations_distance_unit_check CHECK (distance_unit IN ('km', 'mi')),
        ADD CONSTRAINT organisations_pressure_unit_check CHECK (pressure_unit IN ('bar', 'kPa', 'psi'));

      CREATE TABLE people (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        name text NOT NULL,
        email text NOT NULL,
        address_digest bytea NOT NULL,
        role text NOT NULL,
        fleet_ids uuid[],
        workshop_ids uuid[],
        technician_id uuid,
        locale text,
        distance_unit text,
        pressure_unit text,
        state text NOT NULL,
        password_hash text,
        invitation_id uuid,
        invitation_sha256 bytea,
        invitation_expires_at timestamptz,
        invited_at timestamptz NOT NULL,
        last_signed_in_at timestamptz,
        unlocked_until timestamptz,
        created_by text NOT NULL,
        created_at timestamptz NOT NULL DEFAULT now(),
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT people_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT people_address_key UNIQUE (organisation_id, address_digest),
        CONSTRAINT people_role_check CHECK (role IN ('fleet-planner', 'front-desk', 'technician', 'dealer-system', 'administrator')),
        CONSTRAINT people_state_check CHECK (state IN ('invited', 'active', 'disabled')),
        CONSTRAINT people_password_check CHECK (state <> 'active' OR password_hash IS NOT NULL),
        CONSTRAINT people_invitation_check CHECK ((invitation_sha256 IS NULL) = (invitation_expires_at IS NULL) AND (invitation_sha256 IS NULL) = (invitation_id IS NULL)),
        CONSTRAINT people_distance_unit_check CHECK (distance_unit IN ('km', 'mi')),
        CONSTRAINT people_pressure_unit_check CHECK (pressure_unit IN ('bar', 'kPa', 'psi')),
        CONSTRAINT people_organisation_fkey FOREIGN KEY (organisation_id) REFERENCES organisations (organisation_id),
        CONSTRAINT people_technician_fkey FOREIGN KEY (organisation_id, technician_id) REFERENCES technicians (organisation_id, id)
      );

      CREATE TABLE person_sessions (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        person_id uuid NOT NULL,
        token_sha256 bytea NOT NULL,
        started_at timestamptz NOT NULL DEFAULT now(),
        idle_ends_at timestamptz NOT NULL,
        ends_at timestamptz NOT NULL,
        CONSTRAINT person_sessions_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT person_sessions_person_fkey FOREIGN KEY (organisation_id, person_id)
          REFERENCES people (organisation_id, id) ON DELETE CASCADE
      );
      CREATE INDEX person_sessions_person_idx ON person_sessions (organisation_id, person_id);

      -- networks that a person has signed in from
      CREATE TABLE known_networks (
        organisation_id uuid NOT NULL,
        person_id uuid NOT NULL,
        network text NOT NULL,
        last_signed_in_at timestamptz NOT NULL,
        CONSTRAINT known_networks_pkey PRIMARY KEY (organisation_id, person_id, network),
        CONSTRAINT known_networks_person_fkey FOREIGN KEY (organisation_id, person_id)
          REFERENCES people (organisation_id, id) ON DELETE CASCADE
      );

      -- Whose address it may be, over all organisations, since row security shows one at a time. Addresses stand in it
      -- as keyed digests, so it tells an address to nobody, and that it is there only to who knows address and key.
      CREATE TABLE app.person_addresses (
        address_digest bytea NOT NULL,
        organisation_id uuid NOT NULL,
        person_id uuid NOT NULL,
        PRIMARY KEY (address_digest, organisation_id)
      );
      CREATE INDEX person_addresses_person_idx ON app.person_addresses (organisation_id, person_id);
      GRANT SELECT, INSERT, DELETE ON app.person_addresses TO precharge_app;
      CREATE FUNCTION app.note_address() RETURNS trigger LANGUAGE plpgsql AS $$
      BEGIN
        IF TG_OP <> 'INSERT' THEN
          DELETE FROM app.person_addresses WHERE organisation_id = OLD.organisation_id AND person_id = OLD.id;
        END IF;
        IF TG_OP <> 'DELETE' THEN
          INSERT INTO app.person_addresses VALUES (NEW.address_digest, NEW.organisation_id, NEW.id);
        END IF;
        RETURN NULL;
      END $$;
      CREATE TRIGGER people_address AFTER INSERT OR DELETE OR UPDATE OF address_digest ON people
        FOR EACH ROW EXECUTE FUNCTION app.note_address();

      -- Attempts to sign in that failed, whether the address exists or not: of an address from a network, of an address
      -- and of a network. Nothing that would have to outlive a crash.
      CREATE UNLOGGED TABLE app.sign_in_failures (
        address_digest bytea NOT NULL,
        network_digest bytea NOT NULL,
        failures integer NOT NULL,
        first_at timestamptz NOT NULL,
        last_at timestamptz NOT NULL,
        PRIMARY KEY (address_digest, network_digest)
      );
      CREATE INDEX sign_in_failures_last_at_idx ON app.sign_in_failures (last_at);
      GRANT SELECT, INSERT, UPDATE, DELETE ON app.sign_in_failures TO precharge_app;

      -- What was signed in or invited when a backup was made is not any more when it has been restored.
      CREATE FUNCTION app.forget_sign_ins() RETURNS void LANGUAGE sql VOLATILE AS $$
        DELETE FROM person_sessions;
        UPDATE people SET invitation_id = NULL, invitation_sha256 = NULL, invitation_expires_at = NULL,
            unlocked_until = NULL
          WHERE invitation_sha256 IS NOT NULL OR unlocked_until IS NOT NULL;
      $$;
      REVOKE EXECUTE ON FUNCTION app.forget_sign_ins() FROM PUBLIC;
      GRANT EXECUTE ON FUNCTION app.note_address() TO precharge_app;
    `);
    for (const name of tables) {
      await queryRunner.query(`
        ALTER TABLE ${name} ENABLE ROW LEVEL SECURITY;
        ALTER TABLE ${name} FORCE ROW LEVEL SECURITY;
        CREATE POLICY ${name}_tenant ON ${name} USING (${inOrganisation}) WITH CHECK (${inOrganisation});
        GRANT SELECT, INSERT, UPDATE, DELETE ON ${name} TO precharge_app;
      `);
    }
    await queryRunner.query(`REVOKE DELETE ON people FROM precharge_app`);
    await queryRunner.query(enter({ knowsPeople: true }));
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(enter({ knowsPeople: false }));
    await queryRunner.query(`
      DROP FUNCTION app.forget_sign_ins();
      DROP TABLE app.sign_in_failures;
      DROP TRIGGER people_address ON people;
      DROP FUNCTION app.note_address();
      DROP TABLE app.person_addresses;
      DROP TABLE known_networks;
      DROP TABLE person_sessions;
      DROP TABLE people;
      ALTER TABLE organisations DROP COLUMN distance_unit, DROP COLUMN pressure_unit;
    `);
  }
}

// The call at the start of every transaction, as before, save that people enter too: by a session that has not ended,
// or by themselves, for work that they have handed over. Disabled people do not.
function enter({ knowsPeople }: { knowsPeople: boolean }): string {
  const orPerson = knowsPeople
    ? `IF NOT FOUND THEN
          SELECT p.fleet_ids, p.workshop_ids INTO allowed FROM person_sessions s
            JOIN people p ON p.organisation_id = s.organisation_id AND p.id = s.person_id
            WHERE s.organisation_id = organisation AND s.id = actor AND s.idle_ends_at > now() AND s.ends_at > now()
              AND p.state = 'active';
        END IF;
        IF NOT FOUND THEN
          SELECT p.fleet_ids, p.workshop_ids INTO allowed FROM people p
            WHERE p.organisation_id = organisation AND p.id = actor AND p.state = 'active';
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
        IF NOT FOUND THEN
          SELECT c.fleet_ids, c.workshop_ids INTO allowed FROM oauth_clients c
            WHERE c.organisation_id = organisation AND c.id = actor AND c.revoked_at IS NULL;
        END IF;
        IF NOT FOUND THEN
          SELECT f.fleet_ids, f.workshop_ids INTO allowed FROM calendar_feeds f
            WHERE f.organisation_id = organisation AND f.id = actor AND f.revoked_at IS NULL;
        END IF;
        ${orPerson}
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
