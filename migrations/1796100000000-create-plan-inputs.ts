import type { MigrationInterface, QueryRunner } from 'typeorm';

const inOrganisation = 'organisation_id = (SELECT app.organisation_id())';
const inScope = (column: string, scope: string): string =>
  `((SELECT app.${scope}()) IS NULL OR ${column} = ANY ((SELECT app.${scope}())::uuid[]))`;
const inFleetScope = `${inOrganisation} AND ${inScope('fleet_id', 'fleet_ids')}`;

const visible: Record<string, string> = {
  roster_needs: inFleetScope,
  blackout_periods: inFleetScope,
  workshop_reaches: inFleetScope,
  reachable_workshops: `${inFleetScope} AND ${inScope('workshop_id', 'workshop_ids')}`,
  planning_settings: inOrganisation,
};

export class CreatePlanInputs1796100000000 implements MigrationInterface {
  name = 'CreatePlanInputs1796100000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      CREATE TABLE roster_needs (
        organisation_id uuid NOT NULL,
        depot_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        needed_by_weekday integer[] NOT NULL,
        exceptions jsonb NOT NULL,
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT roster_needs_pkey PRIMARY KEY (organisation_id, depot_id),
        CONSTRAINT roster_needs_weekdays_check CHECK (cardinality(needed_by_weekday) = 7 AND 0 <= ALL (needed_by_weekday)),
        CONSTRAINT roster_needs_depot_fkey FOREIGN KEY (organisation_id, fleet_id, depot_id)
          REFERENCES depots (organisation_id, fleet_id, id)
      );

      CREATE TABLE blackout_periods (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        vehicle_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        from_on date NOT NULL,
        until_on date NOT NULL,
        reason text NOT NULL,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT blackout_periods_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT blackout_periods_days_key UNIQUE (organisation_id, vehicle_id, from_on, until_on),
        CONSTRAINT blackout_periods_period_check CHECK (
          until_on > from_on AND until_on <= from_on + interval '2 years'
        ),
        CONSTRAINT blackout_periods_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE
      );

      CREATE TABLE workshop_reaches (
        organisation_id uuid NOT NULL,
        depot_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT workshop_reaches_pkey PRIMARY KEY (organisation_id, depot_id),
        CONSTRAINT workshop_reaches_fleet_key UNIQUE (organisation_id, fleet_id, depot_id),
        CONSTRAINT workshop_reaches_depot_fkey FOREIGN KEY (organisation_id, fleet_id, depot_id)
          REFERENCES depots (organisation_id, fleet_id, id)
      );

      CREATE TABLE reachable_workshops (
        organisation_id uuid NOT NULL,
        depot_id uuid NOT NULL,
        workshop_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        transfer_minutes integer NOT NULL,
        transfer_cost_minor integer NOT NULL,
        CONSTRAINT reachable_workshops_pkey PRIMARY KEY (organisation_id, depot_id, workshop_id),
        CONSTRAINT reachable_workshops_transfer_check CHECK (transfer_minutes >= 0 AND transfer_cost_minor >= 0),
        CONSTRAINT reachable_workshops_reach_fkey FOREIGN KEY (organisation_id, fleet_id, depot_id)
          REFERENCES workshop_reaches (organisation_id, fleet_id, depot_id),
        CONSTRAINT reachable_workshops_workshop_fkey FOREIGN KEY (organisation_id, workshop_id)
          REFERENCES workshops (organisation_id, id)
      );

      CREATE TABLE planning_settings (
        organisation_id uuid NOT NULL,
        currency text NOT NULL,
        visit_loss_minor integer NOT NULL,
        value_per_item_minor integer NOT NULL,
        value_by_task jsonb NOT NULL,
        risk_per_late_day_safety_critical_minor integer NOT NULL,
        risk_per_late_day_other_minor integer NOT NULL,
        left_out_minor integer NOT NULL,
        horizon_days integer NOT NULL,
        revision integer NOT NULL DEFAULT 1,
        CONSTRAINT planning_settings_pkey PRIMARY KEY (organisation_id),
        CONSTRAINT planning_settings_currency_check CHECK (currency ~ '^[A-Z]{3}$'),
        CONSTRAINT planning_settings_amounts_check CHECK (
          visit_loss_minor >= 0 AND value_per_item_minor >= 0 AND risk_per_late_day_safety_critical_minor >= 0
          AND risk_per_late_day_other_minor >= 0 AND left_out_minor > visit_loss_minor
        ),
        CONSTRAINT planning_settings_horizon_check CHECK (horizon_days BETWEEN 7 AND 366),
        CONSTRAINT planning_settings_organisation_fkey FOREIGN KEY (organisation_id)
          REFERENCES organisations (organisation_id)
      );
    `);
    for (const [name, test] of Object.entries(visible)) {
      await queryRunner.query(`
        ALTER TABLE ${name} ENABLE ROW LEVEL SECURITY;
        ALTER TABLE ${name} FORCE ROW LEVEL SECURITY;
        CREATE POLICY ${name}_tenant ON ${name} USING (${test}) WITH CHECK (${test});
        GRANT SELECT, INSERT, UPDATE, DELETE ON ${name} TO precharge_app;
      `);
    }
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    for (const name of Object.keys(visible).reverse()) await queryRunner.query(`DROP TABLE ${name}`);
  }
}
