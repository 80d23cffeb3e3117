import type { MigrationInterface, QueryRunner } from 'typeorm';

const inOrganisation = 'organisation_id = (SELECT app.organisation_id())';
const inScope = (column: string, scope: string): string =>
  `((SELECT app.${scope}()) IS NULL OR ${column} = ANY ((SELECT app.${scope}())::uuid[]))`;
const inFleetScope = `${inOrganisation} AND ${inScope('fleet_id', 'fleet_ids')}`;

const visible: Record<string, string> = {
  downtime_plans: inFleetScope,
  planned_visits: `${inFleetScope} AND ${inScope('workshop_id', 'workshop_ids')}`,
  planned_items: inFleetScope,
};

export class CreateDowntimePlans1796200000000 implements MigrationInterface {
  name = 'CreateDowntimePlans1796200000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      CREATE TABLE downtime_plans (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        fleet_id uuid NOT NULL,
        depot_ids uuid[] NOT NULL,
        name text NOT NULL,
        from_on date NOT NULL,
        until_on date NOT NULL,
        seed integer NOT NULL,
        effort text NOT NULL,
        wishes jsonb NOT NULL,
        assumptions jsonb NOT NULL,
        based_on_id uuid,
        state text NOT NULL,
        stop_requested boolean NOT NULL DEFAULT false,
        progress jsonb,
        outcome jsonb,
        failure text,
        actor_id uuid,
        created_by text NOT NULL,
        ended_at timestamptz,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT downtime_plans_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT downtime_plans_fleet_key UNIQUE (organisation_id, fleet_id, id),
        CONSTRAINT downtime_plans_days_check CHECK (until_on > from_on AND until_on <= from_on + 366),
        CONSTRAINT downtime_plans_depots_check CHECK (cardinality(depot_ids) > 0),
        CONSTRAINT downtime_plans_effort_check CHECK (effort IN ('quick', 'normal', 'thorough')),
        CONSTRAINT downtime_plans_state_check CHECK (
          state IN ('queued', 'running', 'ready', 'accepting', 'accepted', 'impossible', 'failed')
        ),
        CONSTRAINT downtime_plans_fleet_fkey FOREIGN KEY (organisation_id, fleet_id)
          REFERENCES fleets (organisation_id, id),
        CONSTRAINT downtime_plans_based_on_fkey FOREIGN KEY (organisation_id, fleet_id, based_on_id)
          REFERENCES downtime_plans (organisation_id, fleet_id, id)
      );

      CREATE TABLE planned_visits (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        plan_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        depot_id uuid NOT NULL,
        vehicle_id uuid NOT NULL,
        workshop_id uuid NOT NULL,
        visit_on date NOT NULL,
        until_on date NOT NULL,
        work_minutes integer NOT NULL,
        visit_cost_minor bigint NOT NULL,
        item_cost_minor bigint NOT NULL,
        locked boolean NOT NULL,
        acceptance text NOT NULL DEFAULT 'open',
        booking_id uuid,
        refusal text,
        CONSTRAINT planned_visits_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT planned_visits_vehicle_key UNIQUE (organisation_id, plan_id, vehicle_id, visit_on),
        CONSTRAINT planned_visits_plan_key UNIQUE (organisation_id, fleet_id, vehicle_id, plan_id, id),
        CONSTRAINT planned_visits_days_check CHECK (until_on >= visit_on),
        CONSTRAINT planned_visits_acceptance_check CHECK (
          acceptance IN ('open', 'booked', 'refused') AND (acceptance = 'booked') = (booking_id IS NOT NULL)
          AND (acceptance = 'refused') = (refusal IS NOT NULL)
        ),
        CONSTRAINT planned_visits_plan_fkey FOREIGN KEY (organisation_id, fleet_id, plan_id)
          REFERENCES downtime_plans (organisation_id, fleet_id, id) ON DELETE CASCADE,
        CONSTRAINT planned_visits_workshop_fkey FOREIGN KEY (organisation_id, workshop_id)
          REFERENCES workshops (organisation_id, id)
      );
      CREATE INDEX planned_visits_day_idx ON planned_visits (organisation_id, plan_id, visit_on, id);

      CREATE TABLE planned_items (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        plan_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        vehicle_id uuid NOT NULL,
        visit_id uuid,
        item_key text NOT NULL,
        reason text NOT NULL,
        details jsonb NOT NULL,
        CONSTRAINT planned_items_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT planned_items_key UNIQUE (organisation_id, plan_id, vehicle_id, item_key),
        CONSTRAINT planned_items_reason_check CHECK (
          reason IN ('on-due-day', 'due-day-outside-window', 'runs-short', 'cheaper-this-way', 'locked', 'left-out')
        ),
        CONSTRAINT planned_items_plan_fkey FOREIGN KEY (organisation_id, fleet_id, plan_id)
          REFERENCES downtime_plans (organisation_id, fleet_id, id) ON DELETE CASCADE,
        CONSTRAINT planned_items_visit_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id, plan_id, visit_id)
          REFERENCES planned_visits (organisation_id, fleet_id, vehicle_id, plan_id, id) ON DELETE CASCADE
      );
      CREATE INDEX planned_items_visit_idx ON planned_items (organisation_id, visit_id);
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
