import type { MigrationInterface, QueryRunner } from 'typeorm';

// Row security in one place: every tenant table gets the organisation test, and the fleet test where its
// rows belong to a fleet. The settings are read through sub-selects so that Postgres evaluates them once
// per statement, not once per row.
const inOrganisation = 'organisation_id = (SELECT app.organisation_id())';
const inFleetScope = (column: string): string =>
  `((SELECT app.fleet_ids()) IS NULL OR ${column} = ANY ((SELECT app.fleet_ids())::uuid[]))`;

interface TenantTable {
  name: string;
  /** the column that holds the fleet, where rows belong to one */
  fleetColumn?: string;
  /** what the application role may do; everything unless stated */
  grants?: string;
}

const tenantTables: TenantTable[] = [
  { name: 'organisations', grants: 'SELECT, UPDATE' },
  { name: 'service_programmes' },
  { name: 'service_programme_versions' },
  { name: 'fleets', fleetColumn: 'id' },
  { name: 'depots', fleetColumn: 'fleet_id' },
  { name: 'vehicles', fleetColumn: 'fleet_id' },
  { name: 'hydraulic_layouts', fleetColumn: 'fleet_id' },
  { name: 'odometer_readings', fleetColumn: 'fleet_id' },
  { name: 'odometer_replacements', fleetColumn: 'fleet_id' },
  { name: 'duty_changes', fleetColumn: 'fleet_id' },
  { name: 'off_road_periods', fleetColumn: 'fleet_id' },
  { name: 'task_completions', fleetColumn: 'fleet_id' },
  { name: 'due_items', fleetColumn: 'fleet_id' },
  { name: 'usage_models', fleetColumn: 'fleet_id' },
  { name: 'holds', fleetColumn: 'fleet_id' },
  { name: 'hold_overrides', fleetColumn: 'fleet_id' },
  { name: 'api_keys' },
  { name: 'idempotency_records' },
  { name: 'imports' },
  { name: 'import_chunks' },
  { name: 'import_lines' },
  { name: 'audit_entries', grants: 'SELECT, INSERT' },
];

export class CreateFoundation1795600000000 implements MigrationInterface {
  name = 'CreateFoundation1795600000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`CREATE EXTENSION IF NOT EXISTS btree_gist`);
    await queryRunner.query(`CREATE SCHEMA app`);
    await queryRunner.query(`
      CREATE FUNCTION app.organisation_id() RETURNS uuid LANGUAGE sql STABLE PARALLEL SAFE
        AS $$ SELECT NULLIF(current_setting('app.organisation_id', true), '')::uuid $$;
      CREATE FUNCTION app.fleet_ids() RETURNS uuid[] LANGUAGE sql STABLE PARALLEL SAFE
        AS $$ SELECT NULLIF(current_setting('app.fleet_ids', true), '')::uuid[] $$;
    `);

    await queryRunner.query(`
      CREATE TABLE organisations (
        organisation_id uuid NOT NULL DEFAULT uuidv7(),
        name text NOT NULL,
        default_service_programme_id uuid,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT organisations_pkey PRIMARY KEY (organisation_id)
      );

      CREATE TABLE service_programmes (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        name text NOT NULL,
        origin text NOT NULL,
        origin_note text NOT NULL,
        current_version_id uuid,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT service_programmes_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT service_programmes_name_key UNIQUE (organisation_id, name),
        CONSTRAINT service_programmes_origin_check CHECK (origin IN ('starter', 'own')),
        CONSTRAINT service_programmes_organisation_fkey FOREIGN KEY (organisation_id)
          REFERENCES organisations (organisation_id)
      );

      CREATE TABLE service_programme_versions (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        programme_id uuid NOT NULL,
        version_number integer NOT NULL,
        state text NOT NULL,
        effective_on date,
        rules jsonb NOT NULL,
        severity_by_duty_class jsonb NOT NULL,
        change_note text NOT NULL DEFAULT '',
        published_at timestamptz,
        published_by text,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT service_programme_versions_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT service_programme_versions_number_key UNIQUE (organisation_id, programme_id, version_number),
        CONSTRAINT service_programme_versions_state_check CHECK (state IN ('draft', 'published')),
        CONSTRAINT service_programme_versions_programme_fkey FOREIGN KEY (organisation_id, programme_id)
          REFERENCES service_programmes (organisation_id, id)
      );

      CREATE TABLE fleets (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        external_key text,
        name text NOT NULL,
        service_programme_id uuid,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT fleets_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT fleets_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT fleets_organisation_fkey FOREIGN KEY (organisation_id) REFERENCES organisations (organisation_id),
        CONSTRAINT fleets_service_programme_fkey FOREIGN KEY (organisation_id, service_programme_id)
          REFERENCES service_programmes (organisation_id, id)
      );

      CREATE TABLE depots (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        fleet_id uuid NOT NULL,
        external_key text,
        name text NOT NULL,
        zone text NOT NULL,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT depots_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT depots_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT depots_fleet_key UNIQUE (organisation_id, fleet_id, id),
        CONSTRAINT depots_fleet_fkey FOREIGN KEY (organisation_id, fleet_id) REFERENCES fleets (organisation_id, id)
      );

      CREATE TABLE vehicles (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        fleet_id uuid NOT NULL,
        depot_id uuid NOT NULL,
        external_key text,
        registration_mark text NOT NULL,
        fleet_number text,
        vin text,
        duty_class text NOT NULL,
        in_service_on date,
        in_service_odometer_km double precision,
        in_service_engine_hours double precision,
        odometer_unit text NOT NULL,
        stated_yearly_distance_km double precision,
        service_programme_id uuid,
        retired_on date,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT vehicles_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT vehicles_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT vehicles_fleet_key UNIQUE (organisation_id, fleet_id, id),
        CONSTRAINT vehicles_odometer_unit_check CHECK (odometer_unit IN ('km', 'mi')),
        CONSTRAINT vehicles_depot_fkey FOREIGN KEY (organisation_id, fleet_id, depot_id)
          REFERENCES depots (organisation_id, fleet_id, id),
        CONSTRAINT vehicles_service_programme_fkey FOREIGN KEY (organisation_id, service_programme_id)
          REFERENCES service_programmes (organisation_id, id)
      );
      CREATE INDEX vehicles_depot_idx ON vehicles (organisation_id, depot_id);
      CREATE INDEX vehicles_registration_mark_idx ON vehicles (organisation_id, registration_mark);

      CREATE TABLE hydraulic_layouts (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        vehicle_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        pump_kind text NOT NULL,
        anti_sink_valves text NOT NULL,
        rear_brake_accumulator text NOT NULL,
        steering_supply text NOT NULL,
        steering_regulator text NOT NULL,
        fluid text,
        reservoir_litres double precision,
        evidence jsonb NOT NULL,
        recorded_by text NOT NULL,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        superseded_at timestamptz,
        CONSTRAINT hydraulic_layouts_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT hydraulic_layouts_period_check CHECK (superseded_at IS NULL OR superseded_at > recorded_at),
        CONSTRAINT hydraulic_layouts_no_overlap EXCLUDE USING gist (
          organisation_id WITH =, vehicle_id WITH =, tstzrange(recorded_at, superseded_at, '[)') WITH &&
        ),
        CONSTRAINT hydraulic_layouts_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE
      );
      CREATE UNIQUE INDEX hydraulic_layouts_current_idx ON hydraulic_layouts (organisation_id, vehicle_id)
        WHERE superseded_at IS NULL;

      CREATE TABLE odometer_readings (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        vehicle_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        meter text NOT NULL,
        value double precision NOT NULL,
        unit text NOT NULL,
        read_at timestamptz NOT NULL,
        source text NOT NULL,
        external_key text,
        state text NOT NULL,
        suspicions jsonb,
        suggested_value double precision,
        decided_by text,
        decided_at timestamptz,
        decision_note text,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT odometer_readings_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT odometer_readings_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT odometer_readings_meter_check CHECK (meter IN ('odometer', 'engine-hours')),
        CONSTRAINT odometer_readings_unit_check CHECK ((meter = 'odometer') = (unit IN ('km', 'mi')) AND unit IN ('km', 'mi', 'h')),
        CONSTRAINT odometer_readings_state_check CHECK (state IN ('accepted', 'quarantined', 'rejected')),
        CONSTRAINT odometer_readings_value_check CHECK (value >= 0),
        CONSTRAINT odometer_readings_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE
      );
      CREATE INDEX odometer_readings_vehicle_idx ON odometer_readings (organisation_id, vehicle_id, read_at);
      CREATE INDEX odometer_readings_quarantine_idx ON odometer_readings (organisation_id, id)
        WHERE state = 'quarantined';

      CREATE TABLE odometer_replacements (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        vehicle_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        meter text NOT NULL,
        replaced_at timestamptz NOT NULL,
        old_final_value double precision NOT NULL,
        old_unit text NOT NULL,
        new_initial_value double precision NOT NULL,
        new_unit text NOT NULL,
        note text,
        external_key text,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT odometer_replacements_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT odometer_replacements_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT odometer_replacements_moment_key UNIQUE (organisation_id, vehicle_id, meter, replaced_at),
        CONSTRAINT odometer_replacements_meter_check CHECK (meter IN ('odometer', 'engine-hours')),
        CONSTRAINT odometer_replacements_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE
      );

      CREATE TABLE duty_changes (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        vehicle_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        from_on date NOT NULL,
        duty_class text NOT NULL,
        note text,
        external_key text,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT duty_changes_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT duty_changes_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT duty_changes_day_key UNIQUE (organisation_id, vehicle_id, from_on),
        CONSTRAINT duty_changes_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE
      );

      CREATE TABLE off_road_periods (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        vehicle_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        from_on date NOT NULL,
        until_on date NOT NULL,
        reason text NOT NULL,
        external_key text,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT off_road_periods_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT off_road_periods_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT off_road_periods_period_check CHECK (until_on > from_on),
        CONSTRAINT off_road_periods_no_overlap EXCLUDE USING gist (
          organisation_id WITH =, vehicle_id WITH =, daterange(from_on, until_on, '[)') WITH &&
        ),
        CONSTRAINT off_road_periods_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE
      );

      CREATE TABLE task_completions (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        vehicle_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        task text NOT NULL,
        position text,
        done_on date NOT NULL,
        odometer_value double precision,
        odometer_unit text,
        engine_hours double precision,
        done_by text,
        note text,
        external_key text,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        voided_at timestamptz,
        voided_by text,
        void_reason text,
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT task_completions_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT task_completions_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT task_completions_odometer_check CHECK ((odometer_value IS NULL) = (odometer_unit IS NULL)),
        CONSTRAINT task_completions_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE
      );
      CREATE INDEX task_completions_vehicle_idx ON task_completions (organisation_id, vehicle_id, done_on);

      CREATE TABLE due_items (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        vehicle_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        depot_id uuid NOT NULL,
        item_key text NOT NULL,
        task text NOT NULL,
        position text,
        safety_critical boolean NOT NULL,
        driver text,
        early_on date,
        due_on date,
        late_on date,
        details json NOT NULL,
        reasoning json NOT NULL,
        CONSTRAINT due_items_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT due_items_item_key UNIQUE (organisation_id, vehicle_id, item_key),
        CONSTRAINT due_items_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE
      );
      -- the order of every list: items without a date come last
      CREATE INDEX due_items_listing_idx ON due_items (organisation_id, (COALESCE(due_on, DATE '9999-12-31')), id);
      CREATE INDEX due_items_safety_idx ON due_items (organisation_id, late_on) WHERE safety_critical;

      CREATE TABLE usage_models (
        organisation_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        meter text NOT NULL,
        duty_class text NOT NULL,
        model jsonb NOT NULL,
        back_test jsonb NOT NULL,
        fitted_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT usage_models_pkey PRIMARY KEY (organisation_id, fleet_id, meter, duty_class),
        CONSTRAINT usage_models_fleet_fkey FOREIGN KEY (organisation_id, fleet_id) REFERENCES fleets (organisation_id, id)
      );

      CREATE TABLE holds (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        vehicle_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        reason text NOT NULL,
        placed_by text NOT NULL,
        placed_at timestamptz NOT NULL DEFAULT now(),
        lifted_by text,
        lifted_at timestamptz,
        lift_reason text,
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT holds_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT holds_lifted_check CHECK ((lifted_at IS NULL) = (lifted_by IS NULL) AND (lifted_at IS NULL) = (lift_reason IS NULL)),
        CONSTRAINT holds_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE
      );
      CREATE INDEX holds_vehicle_idx ON holds (organisation_id, vehicle_id);

      CREATE TABLE hold_overrides (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        vehicle_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        reason_keys jsonb NOT NULL,
        named_person text NOT NULL,
        statement text NOT NULL,
        from_on date NOT NULL,
        until_on date NOT NULL,
        recorded_by text NOT NULL,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        revoked_at timestamptz,
        revoked_by text,
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT hold_overrides_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT hold_overrides_period_check CHECK (until_on >= from_on),
        CONSTRAINT hold_overrides_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE
      );
      CREATE INDEX hold_overrides_vehicle_idx ON hold_overrides (organisation_id, vehicle_id);

      CREATE TABLE api_keys (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        name text NOT NULL,
        role text NOT NULL,
        secret_sha256 bytea NOT NULL,
        fleet_ids uuid[],
        workshop_ids uuid[],
        expires_at timestamptz,
        revoked_at timestamptz,
        created_by text NOT NULL,
        created_at timestamptz NOT NULL DEFAULT now(),
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT api_keys_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT api_keys_role_check CHECK (role IN ('fleet-planner', 'front-desk', 'technician', 'dealer-system', 'administrator')),
        CONSTRAINT api_keys_organisation_fkey FOREIGN KEY (organisation_id) REFERENCES organisations (organisation_id)
      );

      CREATE TABLE idempotency_records (
        organisation_id uuid NOT NULL,
        actor_id uuid NOT NULL,
        idempotency_key text NOT NULL,
        fingerprint text NOT NULL,
        response json NOT NULL,
        created_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT idempotency_records_pkey PRIMARY KEY (organisation_id, actor_id, idempotency_key),
        CONSTRAINT idempotency_records_organisation_fkey FOREIGN KEY (organisation_id)
          REFERENCES organisations (organisation_id)
      );
      CREATE INDEX idempotency_records_created_at_idx ON idempotency_records (organisation_id, created_at);

      CREATE TABLE imports (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        kind text NOT NULL,
        file_name text,
        dry_run boolean NOT NULL,
        header text,
        state text NOT NULL,
        failure text,
        byte_count bigint NOT NULL DEFAULT 0,
        bytes_read bigint NOT NULL DEFAULT 0,
        lines_read integer NOT NULL DEFAULT 0,
        lines_created integer NOT NULL DEFAULT 0,
        lines_updated integer NOT NULL DEFAULT 0,
        lines_unchanged integer NOT NULL DEFAULT 0,
        lines_rejected integer NOT NULL DEFAULT 0,
        actor_id uuid,
        created_by text NOT NULL,
        created_at timestamptz NOT NULL DEFAULT now(),
        finished_at timestamptz,
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT imports_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT imports_state_check CHECK (state IN ('uploading', 'queued', 'running', 'finished', 'failed', 'cancelled')),
        CONSTRAINT imports_organisation_fkey FOREIGN KEY (organisation_id) REFERENCES organisations (organisation_id)
      );

      CREATE TABLE import_chunks (
        organisation_id uuid NOT NULL,
        import_id uuid NOT NULL,
        chunk_number integer NOT NULL,
        bytes bytea NOT NULL,
        CONSTRAINT import_chunks_pkey PRIMARY KEY (organisation_id, import_id, chunk_number),
        CONSTRAINT import_chunks_import_fkey FOREIGN KEY (organisation_id, import_id)
          REFERENCES imports (organisation_id, id) ON DELETE CASCADE
      );

      CREATE TABLE import_lines (
        organisation_id uuid NOT NULL,
        import_id uuid NOT NULL,
        line_number integer NOT NULL,
        outcome text NOT NULL,
        subject_id uuid,
        errors jsonb,
        raw text,
        CONSTRAINT import_lines_pkey PRIMARY KEY (organisation_id, import_id, line_number),
        CONSTRAINT import_lines_outcome_check CHECK (outcome IN ('created', 'updated', 'unchanged', 'quarantined', 'rejected')),
        CONSTRAINT import_lines_import_fkey FOREIGN KEY (organisation_id, import_id)
          REFERENCES imports (organisation_id, id) ON DELETE CASCADE
      );

      CREATE TABLE audit_entries (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        recorded_at timestamptz NOT NULL DEFAULT now(),
        actor text NOT NULL,
        action text NOT NULL,
        subject_type text NOT NULL,
        subject_id uuid NOT NULL,
        vehicle_id uuid,
        before jsonb,
        after jsonb,
        CONSTRAINT audit_entries_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT audit_entries_organisation_fkey FOREIGN KEY (organisation_id) REFERENCES organisations (organisation_id)
      );
      CREATE INDEX audit_entries_subject_idx ON audit_entries (organisation_id, subject_id);
    `);

    // One call at the start of every transaction: narrows the connection to one organisation, and to the
    // fleets of the key; answers false when the key has been revoked or has expired since it was cached.
    await queryRunner.query(`
      CREATE FUNCTION app.enter(organisation uuid, api_key uuid) RETURNS boolean LANGUAGE plpgsql AS $$
      DECLARE
        key_fleet_ids uuid[];
      BEGIN
        PERFORM set_config('app.organisation_id', organisation::text, true), set_config('app.fleet_ids', '', true);
        IF api_key IS NULL THEN RETURN true; END IF;
        SELECT k.fleet_ids INTO key_fleet_ids FROM api_keys k
          WHERE k.organisation_id = organisation AND k.id = api_key AND k.revoked_at IS NULL
            AND (k.expires_at IS NULL OR k.expires_at > now());
        IF NOT FOUND THEN
          -- statements that were sent along before the answer was known see nothing
          PERFORM set_config('app.organisation_id', '', true);
          RETURN false;
        END IF;
        IF key_fleet_ids IS NOT NULL THEN PERFORM set_config('app.fleet_ids', key_fleet_ids::text, true); END IF;
        RETURN true;
      END $$;
    `);

    await queryRunner.query(`
      DO $$ BEGIN
        IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'precharge_app') THEN
          CREATE ROLE precharge_app NOLOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOBYPASSRLS NOREPLICATION;
        END IF;
      END $$;
      GRANT USAGE ON SCHEMA app TO precharge_app;
      GRANT EXECUTE ON ALL FUNCTIONS IN SCHEMA app TO precharge_app;

      -- Counters of the rate limit, shared between processes; worth nothing after a crash, so not logged.
      CREATE UNLOGGED TABLE app.request_allowances (
        key varchar(255) PRIMARY KEY,
        points integer NOT NULL DEFAULT 0,
        expire bigint
      );
      GRANT SELECT, INSERT, UPDATE, DELETE ON app.request_allowances TO precharge_app;
    `);
    for (const { name, fleetColumn, grants = 'SELECT, INSERT, UPDATE, DELETE' } of tenantTables) {
      const test =
        fleetColumn === undefined ? inOrganisation : `${inOrganisation} AND ${inFleetScope(fleetColumn)}`;
      await queryRunner.query(`
        ALTER TABLE ${name} ENABLE ROW LEVEL SECURITY;
        ALTER TABLE ${name} FORCE ROW LEVEL SECURITY;
        CREATE POLICY ${name}_tenant ON ${name} USING (${test}) WITH CHECK (${test});
        GRANT ${grants} ON ${name} TO precharge_app;
      `);
    }
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    for (const { name } of [...tenantTables].reverse()) await queryRunner.query(`DROP TABLE ${name} CASCADE`);
    await queryRunner.query(`DROP SCHEMA app CASCADE`);
  }
}
