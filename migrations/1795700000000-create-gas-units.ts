import type { MigrationInterface, QueryRunner } from 'typeorm';

const inOrganisation = 'organisation_id = (SELECT app.organisation_id())';
const inFleetScope = (columns: string[]): string =>
  `(${['(SELECT app.fleet_ids()) IS NULL', ...columns.map((column) => `${column} = ANY ((SELECT app.fleet_ids())::uuid[])`)].join(' OR ')})`;

const organisationTables = ['gas_unit_types', 'precharge_models', 'unit_positions', 'gauges'];
const fleetTables = ['gas_units', 'unit_placements', 'gas_unit_events', 'system_tests'];

export class CreateGasUnits1795700000000 implements MigrationInterface {
  name = 'CreateGasUnits1795700000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      CREATE TABLE gas_unit_types (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        external_key text,
        code text NOT NULL,
        name text NOT NULL,
        roles text[] NOT NULL,
        nominal_precharge20_bar_gauge double precision NOT NULL,
        gas_volume_cm3 double precision NOT NULL,
        working_pressure_low_bar_gauge double precision,
        working_pressure_high_bar_gauge double precision,
        damper_integral boolean NOT NULL,
        note text,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT gas_unit_types_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT gas_unit_types_code_key UNIQUE (organisation_id, code),
        CONSTRAINT gas_unit_types_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT gas_unit_types_roles_check CHECK (
          cardinality(roles) > 0 AND roles <@ ARRAY['suspension', 'main-accumulator', 'rear-brake-accumulator', 'other']
        ),
        CONSTRAINT gas_unit_types_figures_check CHECK (nominal_precharge20_bar_gauge > 0 AND gas_volume_cm3 > 0),
        CONSTRAINT gas_unit_types_working_check CHECK (working_pressure_high_bar_gauge > working_pressure_low_bar_gauge),
        CONSTRAINT gas_unit_types_organisation_fkey FOREIGN KEY (organisation_id)
          REFERENCES organisations (organisation_id)
      );

      -- How fast the units of a type lose gas, as last learnt from all units of the type.
      CREATE TABLE precharge_models (
        organisation_id uuid NOT NULL,
        unit_type_id uuid NOT NULL,
        model jsonb NOT NULL,
        learning jsonb NOT NULL,
        fitted_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT precharge_models_pkey PRIMARY KEY (organisation_id, unit_type_id),
        CONSTRAINT precharge_models_unit_type_fkey FOREIGN KEY (organisation_id, unit_type_id)
          REFERENCES gas_unit_types (organisation_id, id) ON DELETE CASCADE
      );

      CREATE TABLE unit_positions (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        code text NOT NULL,
        name text NOT NULL,
        role text NOT NULL,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT unit_positions_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT unit_positions_code_key UNIQUE (organisation_id, code),
        CONSTRAINT unit_positions_role_check CHECK (role IN ('suspension', 'main-accumulator', 'rear-brake-accumulator', 'other')),
        CONSTRAINT unit_positions_organisation_fkey FOREIGN KEY (organisation_id)
          REFERENCES organisations (organisation_id)
      );

      CREATE TABLE gauges (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        code text NOT NULL,
        name text NOT NULL,
        range_high_bar_gauge double precision NOT NULL,
        calibration_due_on date,
        retired_on date,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT gauges_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT gauges_code_key UNIQUE (organisation_id, code),
        CONSTRAINT gauges_range_check CHECK (range_high_bar_gauge > 0),
        CONSTRAINT gauges_organisation_fkey FOREIGN KEY (organisation_id) REFERENCES organisations (organisation_id)
      );

      CREATE TABLE gas_units (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        fleet_id uuid NOT NULL,
        unit_type_id uuid NOT NULL,
        external_key text,
        serial_number text NOT NULL,
        made_on date,
        note text,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT gas_units_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT gas_units_fleet_key UNIQUE (organisation_id, fleet_id, id),
        CONSTRAINT gas_units_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT gas_units_serial_number_key UNIQUE (organisation_id, unit_type_id, serial_number),
        CONSTRAINT gas_units_fleet_fkey FOREIGN KEY (organisation_id, fleet_id) REFERENCES fleets (organisation_id, id),
        CONSTRAINT gas_units_unit_type_fkey FOREIGN KEY (organisation_id, unit_type_id)
          REFERENCES gas_unit_types (organisation_id, id)
      );
      CREATE INDEX gas_units_serial_number_idx ON gas_units (organisation_id, serial_number);

      -- Where a unit was, as periods: a unit is in one place, and a position holds one unit.
      CREATE TABLE unit_placements (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        fleet_id uuid NOT NULL,
        unit_id uuid NOT NULL,
        state text NOT NULL,
        vehicle_id uuid,
        vehicle_fleet_id uuid,
        position text,
        depot_id uuid,
        away_with text,
        from_at timestamptz NOT NULL,
        until_at timestamptz,
        vehicle_total_km_from double precision,
        vehicle_total_km_until double precision,
        moved_by text NOT NULL,
        note text,
        external_key text,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT unit_placements_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT unit_placements_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT unit_placements_state_check CHECK (state IN ('fitted', 'on-the-shelf', 'away-for-recharge', 'scrapped')),
        CONSTRAINT unit_placements_period_check CHECK (until_at > from_at),
        CONSTRAINT unit_placements_scrapped_check CHECK (state <> 'scrapped' OR until_at IS NULL),
        CONSTRAINT unit_placements_place_check CHECK (
          (state = 'fitted') = (vehicle_id IS NOT NULL) AND (state = 'fitted') = (position IS NOT NULL)
          AND (vehicle_id IS NULL) = (vehicle_fleet_id IS NULL)
          AND (state = 'on-the-shelf' OR depot_id IS NULL) AND (state = 'away-for-recharge' OR away_with IS NULL)
        ),
        CONSTRAINT unit_placements_distance_check CHECK (vehicle_total_km_until >= vehicle_total_km_from),
        CONSTRAINT unit_placements_unit_in_one_place EXCLUDE USING gist (
          organisation_id WITH =, unit_id WITH =, tstzrange(from_at, until_at, '[)') WITH &&
        ),
        CONSTRAINT unit_placements_position_has_one_unit EXCLUDE USING gist (
          organisation_id WITH =, vehicle_id WITH =, position WITH =, tstzrange(from_at, until_at, '[)') WITH &&
        ) WHERE (vehicle_id IS NOT NULL),
        CONSTRAINT unit_placements_unit_fkey FOREIGN KEY (organisation_id, fleet_id, unit_id)
          REFERENCES gas_units (organisation_id, fleet_id, id) ON UPDATE CASCADE,
        CONSTRAINT unit_placements_vehicle_fkey FOREIGN KEY (organisation_id, vehicle_fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE,
        CONSTRAINT unit_placements_depot_fkey FOREIGN KEY (organisation_id, depot_id)
          REFERENCES depots (organisation_id, id)
      );
      CREATE INDEX unit_placements_unit_idx ON unit_placements (organisation_id, unit_id, from_at);
      CREATE INDEX unit_placements_vehicle_idx ON unit_placements (organisation_id, vehicle_id, position, from_at);
      CREATE INDEX unit_placements_left_idx ON unit_placements (organisation_id, vehicle_id, position)
        WHERE vehicle_id IS NOT NULL AND until_at IS NOT NULL;
      CREATE INDEX unit_placements_depot_idx ON unit_placements (organisation_id, depot_id) WHERE until_at IS NULL;

      -- What was measured on a unit: precharge tests and charges, each with a pressure and a temperature.
      CREATE TABLE gas_unit_events (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        fleet_id uuid NOT NULL,
        unit_id uuid NOT NULL,
        vehicle_id uuid,
        position text,
        kind text NOT NULL,
        done_at timestamptz NOT NULL,
        pressure_bar_gauge double precision NOT NULL,
        gas_temperature_c double precision NOT NULL,
        ambient_bar double precision NOT NULL,
        altitude_m double precision,
        precharge20_bar_gauge double precision NOT NULL,
        ideal_precharge20_bar_gauge double precision NOT NULL,
        outcome text NOT NULL,
        outcome_reasons jsonb NOT NULL,
        limits jsonb NOT NULL,
        gauge_id uuid,
        gauge_overdue boolean,
        done_by text NOT NULL,
        note text,
        external_key text,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        voided_at timestamptz,
        voided_by text,
        void_reason text,
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT gas_unit_events_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT gas_unit_events_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT gas_unit_events_kind_check CHECK (kind IN ('precharge-test', 'charge')),
        CONSTRAINT gas_unit_events_outcome_check CHECK (outcome IN ('passed', 'failed', 'inconclusive')),
        CONSTRAINT gas_unit_events_place_check CHECK ((vehicle_id IS NULL) = (position IS NULL)),
        CONSTRAINT gas_unit_events_unit_fkey FOREIGN KEY (organisation_id, fleet_id, unit_id)
          REFERENCES gas_units (organisation_id, fleet_id, id) ON UPDATE CASCADE,
        CONSTRAINT gas_unit_events_vehicle_fkey FOREIGN KEY (organisation_id, vehicle_id)
          REFERENCES vehicles (organisation_id, id),
        CONSTRAINT gas_unit_events_gauge_fkey FOREIGN KEY (organisation_id, gauge_id)
          REFERENCES gauges (organisation_id, id)
      );
      CREATE INDEX gas_unit_events_unit_idx ON gas_unit_events (organisation_id, unit_id, done_at);

      -- What was measured on a vehicle's hydraulic system as a whole.
      CREATE TABLE system_tests (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        vehicle_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        task text NOT NULL,
        done_at timestamptz NOT NULL,
        measured jsonb NOT NULL,
        limits jsonb NOT NULL,
        outcome text NOT NULL,
        outcome_reasons jsonb NOT NULL,
        findings jsonb NOT NULL,
        ambient_temperature_c double precision,
        altitude_m double precision,
        gauge_id uuid,
        gauge_overdue boolean,
        done_by text NOT NULL,
        note text,
        external_key text,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        voided_at timestamptz,
        voided_by text,
        void_reason text,
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT system_tests_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT system_tests_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT system_tests_outcome_check CHECK (outcome IN ('passed', 'failed', 'inconclusive')),
        CONSTRAINT system_tests_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE,
        CONSTRAINT system_tests_gauge_fkey FOREIGN KEY (organisation_id, gauge_id)
          REFERENCES gauges (organisation_id, id)
      );
      CREATE INDEX system_tests_vehicle_idx ON system_tests (organisation_id, vehicle_id, done_at);

      ALTER TABLE task_completions
        ADD COLUMN outcome text NOT NULL DEFAULT 'done',
        ADD CONSTRAINT task_completions_outcome_check CHECK (outcome IN ('done', 'failed'));

      -- few items are driven by a failed test; each may hold its vehicle
      CREATE INDEX due_items_failed_test_idx ON due_items (organisation_id, vehicle_id) WHERE driver = 'failed-test';
    `);
    // The record of a position belongs to the vehicle's fleet as well, wherever the unit went since.
    await queryRunner.query(`
      CREATE FUNCTION app.name_vehicle_fleet() RETURNS trigger LANGUAGE plpgsql AS $$
      BEGIN
        SELECT v.fleet_id INTO NEW.vehicle_fleet_id FROM vehicles v
          WHERE v.organisation_id = NEW.organisation_id AND v.id = NEW.vehicle_id;
        RETURN NEW;
      END $$;
      CREATE TRIGGER unit_placements_name_vehicle_fleet BEFORE INSERT ON unit_placements
        FOR EACH ROW WHEN (NEW.vehicle_id IS NOT NULL) EXECUTE FUNCTION app.name_vehicle_fleet();
      GRANT EXECUTE ON FUNCTION app.name_vehicle_fleet() TO precharge_app;
    `);
    // A vehicle that changes its fleet takes the units that are fitted to it along, with their history.
    await queryRunner.query(`
      CREATE FUNCTION app.move_fitted_units() RETURNS trigger LANGUAGE plpgsql AS $$
      BEGIN
        UPDATE gas_units u SET fleet_id = NEW.fleet_id FROM unit_placements p
          WHERE p.organisation_id = NEW.organisation_id AND p.vehicle_id = NEW.id AND p.until_at IS NULL
            AND u.organisation_id = p.organisation_id AND u.id = p.unit_id;
        RETURN NULL;
      END $$;
      CREATE TRIGGER vehicles_move_fitted_units AFTER UPDATE OF fleet_id ON vehicles
        FOR EACH ROW WHEN (OLD.fleet_id <> NEW.fleet_id) EXECUTE FUNCTION app.move_fitted_units();
      GRANT EXECUTE ON FUNCTION app.move_fitted_units() TO precharge_app;
    `);
    for (const name of [...organisationTables, ...fleetTables]) {
      const columns = name === 'unit_placements' ? ['fleet_id', 'vehicle_fleet_id'] : ['fleet_id'];
      const test = fleetTables.includes(name)
        ? `${inOrganisation} AND ${inFleetScope(columns)}`
        : inOrganisation;
      await queryRunner.query(`
        ALTER TABLE ${name} ENABLE ROW LEVEL SECURITY;
        ALTER TABLE ${name} FORCE ROW LEVEL SECURITY;
        CREATE POLICY ${name}_tenant ON ${name} USING (${test}) WITH CHECK (${test});
        GRANT SELECT, INSERT, UPDATE, DELETE ON ${name} TO precharge_app;
      `);
    }
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      DROP TRIGGER vehicles_move_fitted_units ON vehicles;
      DROP FUNCTION app.move_fitted_units();
      DROP INDEX due_items_failed_test_idx;
      ALTER TABLE task_completions DROP COLUMN outcome;
    `);
    for (const name of [...fleetTables].reverse()) await queryRunner.query(`DROP TABLE ${name}`);
    await queryRunner.query(`DROP FUNCTION app.name_vehicle_fleet()`);
    for (const name of [...organisationTables].reverse()) await queryRunner.query(`DROP TABLE ${name}`);
  }
}
