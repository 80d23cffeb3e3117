import type { MigrationInterface, QueryRunner } from 'typeorm';

const visible = `organisation_id = (SELECT app.organisation_id())
  AND ((SELECT app.fleet_ids()) IS NULL OR fleet_id = ANY ((SELECT app.fleet_ids())::uuid[]))
  AND ((SELECT app.workshop_ids()) IS NULL OR workshop_id = ANY ((SELECT app.workshop_ids())::uuid[]))`;

export class CreateJobSheets1796000000000 implements MigrationInterface {
  name = 'CreateJobSheets1796000000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      CREATE TABLE job_sheets (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        booking_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        vehicle_id uuid NOT NULL,
        workshop_id uuid NOT NULL,
        state text NOT NULL,
        sheet jsonb NOT NULL,
        entries jsonb NOT NULL,
        parts_used jsonb NOT NULL,
        work_found jsonb NOT NULL,
        completion jsonb,
        completion_fingerprint text,
        completed_at timestamptz,
        signed_off_by uuid,
        decision text,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT job_sheets_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT job_sheets_booking_key UNIQUE (organisation_id, booking_id),
        CONSTRAINT job_sheets_state_check CHECK (state IN ('open', 'completed')),
        CONSTRAINT job_sheets_decision_check CHECK (decision IN ('released', 'held')),
        CONSTRAINT job_sheets_completed_check CHECK (
          (state = 'completed') = (completion IS NOT NULL) AND (completion IS NULL) = (completion_fingerprint IS NULL)
          AND (completion IS NULL) = (completed_at IS NULL) AND (completion IS NULL) = (signed_off_by IS NULL)
          AND (completion IS NULL) = (decision IS NULL)
        ),
        CONSTRAINT job_sheets_booking_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id, workshop_id, booking_id)
          REFERENCES bookings (organisation_id, fleet_id, vehicle_id, workshop_id, id) ON UPDATE CASCADE,
        CONSTRAINT job_sheets_signed_off_by_fkey FOREIGN KEY (organisation_id, signed_off_by)
          REFERENCES technicians (organisation_id, id)
      );
      CREATE INDEX job_sheets_vehicle_idx ON job_sheets (organisation_id, vehicle_id);
      CREATE INDEX job_sheets_workshop_idx ON job_sheets (organisation_id, workshop_id, state);
      ALTER TABLE job_sheets ENABLE ROW LEVEL SECURITY;
      ALTER TABLE job_sheets FORCE ROW LEVEL SECURITY;
      CREATE POLICY job_sheets_tenant ON job_sheets USING (${visible}) WITH CHECK (${visible});
      GRANT SELECT, INSERT, UPDATE, DELETE ON job_sheets TO precharge_app;
    `);
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`DROP TABLE job_sheets`);
  }
}
