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

    // How much of all audit trails is not sealed yet: for the figures of operation.
    await queryRunner.query(`
      CREATE FUNCTION app.unsealed_entries(OUT entries bigint, OUT oldest_at timestamptz) LANGUAGE plpgsql VOLATILE AS $$
      DECLARE
        tenant uuid;
        last_xid bigint;
        last_sequence bigint;
        found_entries bigint;
        found_at timestamptz;
      BEGIN
        entries := 0;
        FOR tenant IN SELECT organisation_id FROM app.tenants LOOP
          PERFORM app.enter(tenant, NULL);
          SELECT e.xid, e.sequence INTO last_xid, last_sequence FROM audit_seals s
              JOIN audit_entries e ON e.organisation_id = s.organisation_id AND e.id = s.entry_id
            ORDER BY s.position DESC LIMIT 1;
          IF NOT FOUND THEN
            last_xid := -1;
            last_sequence := -1;
          END IF;
          SELECT count(*), min(e.recorded_at) INTO found_entries, found_at FROM audit_entries e
            WHERE (e.xid, e.sequence) > (last_xid, last_sequence);
          entries := entries + found_entries;
          oldest_at := LEAST(oldest_at, found_at);
        END LOOP;
        PERFORM set_config('app.organisation_id', '', true);
      END $$;
      GRANT EXECUTE ON FUNCTION app.unsealed_entries() TO precharge_app;
    `);

    // A restored backup ends the history that it was taken of: what was recorded after it is gone, and a reader of the
    // feed who has seen of that has to be told. What is recorded from now on belongs to a new history.
    await queryRunner.query(`
      ALTER TABLE app.histories ADD COLUMN ended_before bigint;
      CREATE FUNCTION app.begin_history(settled_before bigint) RETURNS void LANGUAGE sql VOLATILE AS $$
        UPDATE app.histories SET ended_before = settled_before
          WHERE number = (SELECT max(number) FROM app.histories);
        INSERT INTO app.histories (number, history) SELECT max(number) + 1, app.server_history() FROM app.histories;
      $$;
    `);
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      DROP FUNCTION app.begin_history(bigint);
      DROP FUNCTION app.unsealed_entries();
      ALTER TABLE app.histories DROP COLUMN ended_before;
      DROP INDEX audit_entries_vehicle_idx;
      DROP INDEX audit_entries_listing_idx;
      DROP TABLE audit_seals;
    `);
  }
}
