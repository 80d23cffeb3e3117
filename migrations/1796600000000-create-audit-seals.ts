import type { MigrationInterface, QueryRunner } from 'typeorm';

export class CreateAuditSeals1796600000000 implements MigrationInterface {
  name = 'CreateAuditSeals1796600000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      CREATE TABLE audit_seals (
        organisation_id uuid NOT NULL,
        position bigint NOT NULL,
        entry_id uuid NOT NULL,
        hash bytea NOT NULL,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT audit_seals_pkey PRIMARY KEY (organisation_id, position),
        CONSTRAINT audit_seals_entry_key UNIQUE (organisation_id, entry_id),
        CONSTRAINT audit_seals_position_check CHECK (position > 0),
        CONSTRAINT audit_seals_hash_check CHECK (octet_length(hash) = 32),
        CONSTRAINT audit_seals_entry_fkey FOREIGN KEY (organisation_id, entry_id)
          REFERENCES audit_entries (organisation_id, id)
      );
      ALTER TABLE audit_seals ENABLE ROW LEVEL SECURITY;
      ALTER TABLE audit_seals FORCE ROW LEVEL SECURITY;
      CREATE POLICY audit_seals_tenant ON audit_seals USING (organisation_id = (SELECT app.organisation_id()))
        WITH CHECK (organisation_id = (SELECT app.organisation_id()));
      GRANT SELECT, INSERT ON audit_seals TO precharge_app;

      CREATE INDEX audit_entries_listing_idx ON audit_entries (organisation_id, recorded_at, id);
      CREATE INDEX audit_entries_vehicle_idx ON audit_entries (organisation_id, vehicle_id, recorded_at, id)
        WHERE vehicle_id IS NOT NULL;
    `);

    // Which organisations there are, for background work that visits each in turn. Ids alone: whatever they own
    // stays behind row security.
    await queryRunner.query(`
      CREATE TABLE app.known_organisations (organisation_id uuid PRIMARY KEY);
      ALTER TABLE organisations NO FORCE ROW LEVEL SECURITY;
      INSERT INTO app.known_organisations SELECT organisation_id FROM organisations;
      ALTER TABLE organisations FORCE ROW LEVEL SECURITY;
      CREATE FUNCTION app.know_organisation() RETURNS trigger LANGUAGE plpgsql AS $$
      BEGIN
        INSERT INTO app.known_organisations VALUES (NEW.organisation_id) ON CONFLICT DO NOTHING;
        RETURN NULL;
      END $$;
      CREATE TRIGGER organisations_known AFTER INSERT ON organisations
        FOR EACH ROW EXECUTE FUNCTION app.know_organisation();
      GRANT SELECT ON app.known_organisations TO precharge_app;
    `);

    // The order of the change log is that of transaction ids, and another server counts those from its own start.
    // So data that come to another server begin an era: its ids are counted on from a start beyond all earlier ones,
    // and the rows that were brought along stay as they are. A constant, so that the planner sees through it; the
    // table keeps what it has been.
    await queryRunner.query(`
      CREATE TABLE app.transaction_eras (
        start_id bigint PRIMARY KEY,
        last_id_before bigint,
        began_at timestamptz NOT NULL DEFAULT now()
      );
      INSERT INTO app.transaction_eras (start_id) VALUES (0);
      GRANT SELECT ON app.transaction_eras TO precharge_app;

      CREATE FUNCTION app.era_start_id() RETURNS bigint LANGUAGE sql IMMUTABLE PARALLEL SAFE
        AS $$ SELECT 0::bigint $$;
      CREATE OR REPLACE FUNCTION app.transaction_id() RETURNS bigint LANGUAGE sql VOLATILE
        AS $$ SELECT app.era_start_id() + pg_current_xact_id()::text::bigint $$;

      -- Transactions with a smaller id have ended: nothing can be added to what is to be seen of them.
      CREATE FUNCTION app.settled_before() RETURNS bigint LANGUAGE sql STABLE
        AS $$ SELECT app.era_start_id() + pg_snapshot_xmin(pg_current_snapshot())::text::bigint $$;
      GRANT EXECUTE ON FUNCTION app.era_start_id(), app.settled_before() TO precharge_app;
    `);
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      DROP FUNCTION app.settled_before();
      CREATE OR REPLACE FUNCTION app.transaction_id() RETURNS bigint LANGUAGE sql VOLATILE
        AS $$ SELECT pg_current_xact_id()::text::bigint $$;
      DROP FUNCTION app.era_start_id();
      DROP TABLE app.transaction_eras;
      DROP TRIGGER organisations_known ON organisations;
      DROP FUNCTION app.know_organisation();
      DROP TABLE app.known_organisations;
      DROP INDEX audit_entries_vehicle_idx;
      DROP INDEX audit_entries_listing_idx;
      DROP TABLE audit_seals;
    `);
  }
}
