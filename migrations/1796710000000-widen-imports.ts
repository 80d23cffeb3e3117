import type { MigrationInterface, QueryRunner } from 'typeorm';

export class WidenImports1796710000000 implements MigrationInterface {
  name = 'WidenImports1796710000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      ALTER TABLE imports ADD COLUMN format text NOT NULL DEFAULT 'csv',
        ADD CONSTRAINT imports_format_check CHECK (format IN ('csv', 'ndjson'));

      ALTER TABLE blackout_periods ADD COLUMN external_key text,
        ADD CONSTRAINT blackout_periods_external_key_key UNIQUE (organisation_id, external_key);

      -- How many imports wait or are worked on, of all organisations: for the figures of operation.
      CREATE FUNCTION app.open_imports(OUT waiting bigint, OUT running bigint, OUT oldest_at timestamptz)
        LANGUAGE plpgsql VOLATILE AS $$
      DECLARE
        tenant uuid;
        found_waiting bigint;
        found_running bigint;
        found_at timestamptz;
      BEGIN
        waiting := 0;
        running := 0;
        FOR tenant IN SELECT organisation_id FROM app.tenants LOOP
          PERFORM app.enter(tenant, NULL);
          SELECT count(*) FILTER (WHERE state = 'queued'), count(*) FILTER (WHERE state = 'running'), min(created_at)
            INTO found_waiting, found_running, found_at FROM imports WHERE state IN ('queued', 'running');
          waiting := waiting + found_waiting;
          running := running + found_running;
          oldest_at := LEAST(oldest_at, found_at);
        END LOOP;
        PERFORM set_config('app.organisation_id', '', true);
      END $$;
      GRANT EXECUTE ON FUNCTION app.open_imports() TO precharge_app;
      CREATE INDEX imports_open_idx ON imports (organisation_id) WHERE state IN ('queued', 'running');
    `);
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      DROP INDEX imports_open_idx;
      DROP FUNCTION app.open_imports();
      ALTER TABLE blackout_periods DROP COLUMN external_key;
      ALTER TABLE imports DROP COLUMN format;
    `);
  }
}
