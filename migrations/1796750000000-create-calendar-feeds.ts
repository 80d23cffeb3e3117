import type { MigrationInterface, QueryRunner } from 'typeorm';

const inOrganisation = 'organisation_id = (SELECT app.organisation_id())';

export class CreateCalendarFeeds1796750000000 implements MigrationInterface {
  name = 'CreateCalendarFeeds1796750000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      CREATE TABLE calendar_feeds (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        label text NOT NULL,
        workshop_id uuid,
        depot_id uuid,
        with_names boolean NOT NULL,
        fleet_ids uuid[],
        workshop_ids uuid[],
        secret_id uuid NOT NULL,
        secret_sha256 bytea NOT NULL,
        secret_made_at timestamptz NOT NULL,
        last_read_at timestamptz,
        revoked_at timestamptz,
        created_by text NOT NULL,
        created_at timestamptz NOT NULL DEFAULT now(),
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT calendar_feeds_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT calendar_feeds_subject_check CHECK ((workshop_id IS NULL) <> (depot_id IS NULL)),
        CONSTRAINT calendar_feeds_workshop_fkey FOREIGN KEY (organisation_id, workshop_id)
          REFERENCES workshops (organisation_id, id),
        CONSTRAINT calendar_feeds_depot_fkey FOREIGN KEY (organisation_id, depot_id)
          REFERENCES depots (organisation_id, id)
      );
      ALTER TABLE calendar_feeds ENABLE ROW LEVEL SECURITY;
      ALTER TABLE calendar_feeds FORCE ROW LEVEL SECURITY;
      CREATE POLICY calendar_feeds_tenant ON calendar_feeds USING (${inOrganisation}) WITH CHECK (${inOrganisation});
      GRANT SELECT, INSERT, UPDATE ON calendar_feeds TO precharge_app;
    `);
    await queryRunner.query(enter({ knowsCalendars: true }));
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(enter({ knowsCalendars: false }));
    await queryRunner.query(`DROP TABLE calendar_feeds`);
  }
}

// The call at the start of every transaction, as before, save that whoever knows the address of a calendar enters too,
// within the fleets and workshops of the key that made it.
function enter({ knowsCalendars }: { knowsCalendars: boolean }): string {
  const orCalendar = knowsCalendars
    ? `IF NOT FOUND THEN
          SELECT f.fleet_ids, f.workshop_ids INTO allowed FROM calendar_feeds f
            WHERE f.organisation_id = organisation AND f.id = actor AND f.revoked_at IS NULL;
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
        ${orCalendar}
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
