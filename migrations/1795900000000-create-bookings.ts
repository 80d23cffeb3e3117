import type { MigrationInterface, QueryRunner } from 'typeorm';

const inOrganisation = 'organisation_id = (SELECT app.organisation_id())';
const inFleetScope =
  '((SELECT app.fleet_ids()) IS NULL OR fleet_id = ANY ((SELECT app.fleet_ids())::uuid[]))';
const inWorkshopScope =
  '((SELECT app.workshop_ids()) IS NULL OR workshop_id = ANY ((SELECT app.workshop_ids())::uuid[]))';

export class CreateBookings1795900000000 implements MigrationInterface {
  name = 'CreateBookings1795900000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      CREATE TABLE bookings (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        fleet_id uuid NOT NULL,
        vehicle_id uuid NOT NULL,
        workshop_id uuid NOT NULL,
        bay_id uuid NOT NULL,
        technician_ids uuid[] NOT NULL,
        external_key text,
        state text NOT NULL,
        provisional_until timestamptz,
        starts_at timestamptz NOT NULL,
        ends_at timestamptz NOT NULL,
        bay_from_at timestamptz NOT NULL,
        bay_until_at timestamptz NOT NULL,
        pieces jsonb NOT NULL,
        work jsonb NOT NULL,
        work_minutes integer NOT NULL,
        minutes_before integer NOT NULL,
        minutes_after integer NOT NULL,
        cause text NOT NULL,
        contact text,
        note text,
        booked_by text NOT NULL,
        arrived_at timestamptz,
        work_started_at timestamptz,
        work_periods jsonb,
        finished_at timestamptz,
        released_at timestamptz,
        collected_at timestamptz,
        closed_at timestamptz,
        closed_reason text,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT bookings_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT bookings_external_key_key UNIQUE (organisation_id, external_key),
        CONSTRAINT bookings_vehicle_key UNIQUE (organisation_id, fleet_id, vehicle_id, workshop_id, id),
        CONSTRAINT bookings_state_check CHECK (state IN (
          'provisional', 'confirmed', 'arrived', 'in-work', 'finished', 'collected', 'cancelled', 'missed', 'lapsed'
        )),
        CONSTRAINT bookings_cause_check CHECK (cause IN ('planned', 'failure')),
        CONSTRAINT bookings_times_check CHECK (
          bay_from_at <= starts_at AND starts_at < ends_at AND ends_at <= bay_until_at AND work_minutes > 0
        ),
        CONSTRAINT bookings_technicians_check CHECK (cardinality(technician_ids) > 0),
        CONSTRAINT bookings_provisional_check CHECK ((state = 'provisional') <= (provisional_until IS NOT NULL)),
        CONSTRAINT bookings_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE,
        CONSTRAINT bookings_bay_fkey FOREIGN KEY (organisation_id, workshop_id, bay_id)
          REFERENCES bays (organisation_id, workshop_id, id)
      );
      CREATE INDEX bookings_workshop_idx ON bookings (organisation_id, workshop_id, starts_at, id);
      CREATE INDEX bookings_vehicle_idx ON bookings (organisation_id, vehicle_id, starts_at);
      CREATE INDEX bookings_lapsing_idx ON bookings (organisation_id, provisional_until) WHERE state = 'provisional';

      -- Who and what is taken, from when until when. The constraint makes a double booking impossible, whatever the
      -- code above it does; \`live\` is false once the booking does not need the time any more. Times of bays and
      -- people are visible in the whole organisation: a diary with holes would promise what is taken.
      CREATE TABLE booking_allocations (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        booking_id uuid NOT NULL,
        bay_id uuid,
        technician_id uuid,
        vehicle_id uuid,
        fleet_id uuid,
        resource_id uuid NOT NULL,
        starts_at timestamptz NOT NULL,
        ends_at timestamptz NOT NULL,
        held_until timestamptz,
        live boolean NOT NULL DEFAULT true,
        CONSTRAINT booking_allocations_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT booking_allocations_one_resource_check CHECK (
          num_nonnulls(bay_id, technician_id, vehicle_id) = 1
          AND resource_id = COALESCE(bay_id, technician_id, vehicle_id) AND (vehicle_id IS NULL) = (fleet_id IS NULL)
        ),
        CONSTRAINT booking_allocations_period_check CHECK (
          starts_at < ends_at AND isfinite(starts_at) AND isfinite(ends_at) AND ends_at <= starts_at + interval '60 days'
        ),
        CONSTRAINT booking_allocations_no_double_booking EXCLUDE USING gist (
          organisation_id WITH =, resource_id WITH =, tstzrange(starts_at, ends_at, '[)') WITH &&
        ) WHERE (live),
        CONSTRAINT booking_allocations_booking_fkey FOREIGN KEY (organisation_id, booking_id)
          REFERENCES bookings (organisation_id, id) ON DELETE CASCADE,
        CONSTRAINT booking_allocations_bay_fkey FOREIGN KEY (organisation_id, bay_id)
          REFERENCES bays (organisation_id, id),
        CONSTRAINT booking_allocations_technician_fkey FOREIGN KEY (organisation_id, technician_id)
          REFERENCES technicians (organisation_id, id),
        CONSTRAINT booking_allocations_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE
      );
      CREATE INDEX booking_allocations_resource_idx ON booking_allocations (organisation_id, resource_id, starts_at)
        WHERE live;
      CREATE INDEX booking_allocations_booking_idx ON booking_allocations (organisation_id, booking_id);

      -- The audit trail is the change log as well: a reader who takes entries in this order, and only those whose
      -- transaction is older than every running one, misses none.
      CREATE FUNCTION app.transaction_id() RETURNS bigint LANGUAGE sql VOLATILE
        AS $$ SELECT pg_current_xact_id()::text::bigint $$;
      GRANT EXECUTE ON FUNCTION app.transaction_id() TO precharge_app;
      ALTER TABLE audit_entries
        ADD COLUMN xid bigint NOT NULL DEFAULT app.transaction_id(),
        ADD COLUMN sequence bigserial NOT NULL;
      GRANT USAGE ON SEQUENCE audit_entries_sequence_seq TO precharge_app;
      CREATE INDEX audit_entries_change_idx ON audit_entries (organisation_id, xid, sequence);
    `);
    const policies = {
      bookings: `${inOrganisation} AND ${inFleetScope} AND ${inWorkshopScope}`,
      booking_allocations: `${inOrganisation} AND (vehicle_id IS NULL OR ${inFleetScope})`,
    };
    for (const [name, test] of Object.entries(policies)) {
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
      DROP INDEX audit_entries_change_idx;
      ALTER TABLE audit_entries DROP COLUMN sequence, DROP COLUMN xid;
      DROP FUNCTION app.transaction_id();
      DROP TABLE booking_allocations;
      DROP TABLE bookings;
    `);
  }
}
