import type { MigrationInterface, QueryRunner } from 'typeorm';

export class PlacePlannedVisits1796700000000 implements MigrationInterface {
  name = 'PlacePlannedVisits1796700000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      ALTER TABLE planned_visits
        ADD COLUMN starts_at timestamptz,
        ADD COLUMN ends_at timestamptz,
        ADD COLUMN bay_id uuid,
        ADD COLUMN technician_ids uuid[] NOT NULL DEFAULT '{}',
        ADD CONSTRAINT planned_visits_place_check
          CHECK ((starts_at IS NULL) = (ends_at IS NULL) AND (starts_at IS NULL) = (bay_id IS NULL));
    `);
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      ALTER TABLE planned_visits
        DROP COLUMN starts_at, DROP COLUMN ends_at, DROP COLUMN bay_id, DROP COLUMN technician_ids;
    `);
  }
}
