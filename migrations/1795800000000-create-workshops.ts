import type { MigrationInterface, QueryRunner } from 'typeorm';

const inOrganisation = 'organisation_id = (SELECT app.organisation_id())';
const inWorkshopScope = (column: string): string =>
  `((SELECT app.workshop_ids()) IS NULL OR ${column} = ANY ((SELECT app.workshop_ids())::uuid[]))`;

const workshopTables = { workshops: 'id', bays: 'workshop_id', technicians: 'workshop_id' };

export class CreateWorkshops1795800000000 implements MigrationInterface {
  name = 'CreateWorkshops1795800000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      CREATE FUNCTION app.workshop_ids() RETURNS uuid[] LANGUAGE sql STABLE PARALLEL SAFE
        AS $$ SELECT NULLIF(current_setting('app.workshop_ids', true), '')::uuid[] $$;
      GRANT EXECUTE ON FUNCTION app.workshop_ids() TO precharge_app;
    `);
    await queryRunner.query(enter({ narrowsWorkshops: true }));
    await queryRunner.query(`
      CREATE TABLE workshops (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        external_key text,
        name text NOT NULL,
        zone text NOT NULL,
        weekly_hours jsonb NOT NULL,
        holiday_region text,
        day_exceptions jsonb NOT NULL,
        vehicle_stay text NOT NULL,
        minutes_before integer NOT NULL,
        minutes_after integer NOT NULL,
        grid_minutes integer NOT NULL,
        sign_off_competence text,
        retired_on date,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT workshops_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT workshops_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT workshops_vehicle_stay_check CHECK (vehicle_stay IN ('not-at-all', 'over-breaks', 'overnight')),
        CONSTRAINT workshops_minutes_check CHECK (
          minutes_before >= 0 AND minutes_after >= 0 AND grid_minutes > 0 AND 1440 % grid_minutes = 0
        ),
        CONSTRAINT workshops_organisation_fkey FOREIGN KEY (organisation_id) REFERENCES organisations (organisation_id)
      );

      CREATE TABLE bays (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        workshop_id uuid NOT NULL,
        name text NOT NULL,
        kinds text[] NOT NULL,
        closures jsonb NOT NULL,
        retired_on date,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT bays_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT bays_workshop_key UNIQUE (organisation_id, workshop_id, id),
        CONSTRAINT bays_name_key UNIQUE (organisation_id, workshop_id, name),
        CONSTRAINT bays_kinds_check CHECK (cardinality(kinds) > 0),
        CONSTRAINT bays_workshop_fkey FOREIGN KEY (organisation_id, workshop_id)
          REFERENCES workshops (organisation_id, id)
      );

      CREATE TABLE technicians (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        workshop_id uuid NOT NULL,
        name text NOT NULL,
        competences jsonb NOT NULL,
        shifts jsonb NOT NULL,
        shift_exceptions jsonb NOT NULL,
        absences jsonb NOT NULL,
        retired_on date,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT technicians_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT technicians_workshop_key UNIQUE (organisation_id, workshop_id, id),
        CONSTRAINT technicians_name_key UNIQUE (organisation_id, workshop_id, name),
        CONSTRAINT technicians_workshop_fkey FOREIGN KEY (organisation_id, workshop_id)
          REFERENCES workshops (organisation_id, id)
      );
    `);
    for (const [name, column] of Object.entries(workshopTables)) {
      const test = `${inOrganisation} AND ${inWorkshopScope(column)}`;
      await queryRunner.query(`
        ALTER TABLE ${name} ENABLE ROW LEVEL SECURITY;
        ALTER TABLE ${name} FORCE ROW LEVEL SECURITY;
        CREATE POLICY ${name}_tenant ON ${name} USING (${test}) WITH CHECK (${test});
        GRANT SELECT, INSERT, UPDATE, DELETE ON ${name} TO precharge_app;
      `);
    }
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    for (const name of Object.keys(workshopTables).reverse()) await queryRunner.query(`DROP TABLE ${name}`);
    await queryRunner.query(enter({ narrowsWorkshops: false }));
    await queryRunner.query(`DROP FUNCTION app.workshop_ids()`);
  }
}

// The call at the start of every transaction: narrows the connection to one organisation, and to the fleets and, once
// there are any, the workshops of the key; answers false when the key has been revoked or has expired.
function enter({ narrowsWorkshops }: { narrowsWorkshops: boolean }): string {
  const cleared = narrowsWorkshops ? `, set_config('app.workshop_ids', '', true)` : '';
  const narrowed = narrowsWorkshops
    ? `IF key_row.workshop_ids IS NOT NULL THEN
          PERFORM set_config('app.workshop_ids', key_row.workshop_ids::text, true);
        END IF;`
    : '';
  return `
    CREATE OR REPLACE FUNCTION app.enter(organisation uuid, api_key uuid) RETURNS boolean LANGUAGE plpgsql AS $$
      DECLARE
        key_row record;
      BEGIN
        PERFORM set_config('app.organisation_id', organisation::text, true), set_config('app.fleet_ids', '', true)${cleared};
        IF api_key IS NULL THEN RETURN true; END IF;
        SELECT k.fleet_ids, k.workshop_ids INTO key_row FROM api_keys k
          WHERE k.organisation_id = organisation AND k.id = api_key AND k.revoked_at IS NULL
            AND (k.expires_at IS NULL OR k.expires_at > now());
        IF NOT FOUND THEN
          -- statements that were sent along before the answer was known see nothing
          PERFORM set_config('app.organisation_id', '', true);
          RETURN false;
        END IF;
        IF key_row.fleet_ids IS NOT NULL THEN PERFORM set_config('app.fleet_ids', key_row.fleet_ids::text, true); END IF;
        ${narrowed}
        RETURN true;
      END $$;
  `;
}
