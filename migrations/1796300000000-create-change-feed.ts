import type { MigrationInterface, QueryRunner } from 'typeorm';

const inOrganisation = 'organisation_id = (SELECT app.organisation_id())';
const inScope = (column: string, scope: string): string =>
  `((SELECT app.${scope}()) IS NULL OR ${column} = ANY ((SELECT app.${scope}())::uuid[]))`;
const inFleetScope = `${inOrganisation} AND ${inScope('fleet_id', 'fleet_ids')}`;

const tables = [
  {
    name: 'events',
    // a key of some fleets is told of those fleets alone, but what it changes may concern everybody
    read: `${inFleetScope} AND (workshop_id IS NULL OR ${inScope('workshop_id', 'workshop_ids')})`,
    write: `${inOrganisation} AND (fleet_id IS NULL OR ${inScope('fleet_id', 'fleet_ids')})`,
    grants: 'SELECT, INSERT, DELETE',
  },
  {
    name: 'event_horizons',
    read: inOrganisation,
    write: inOrganisation,
    grants: 'SELECT, INSERT, UPDATE',
  },
  {
    name: 'announced_states',
    read: inFleetScope,
    write: inFleetScope,
    grants: 'SELECT, INSERT, DELETE',
  },
];

export class CreateChangeFeed1796300000000 implements MigrationInterface {
  name = 'CreateChangeFeed1796300000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    // The order of changes is (xid, sequence): see docs/change-feed.md. Numbers of transactions mean something within
    // one history of one server only: a dump that is restored elsewhere, or a standby that took over, may count from
    // lower ones. So the number of the history stands above the 48 bits of the transaction, which last for centuries.
    await queryRunner.query(`
      CREATE TABLE app.histories (
        number bigint PRIMARY KEY,
        -- identity of the server's data, and of the branch of its log that it writes
        history text NOT NULL,
        began_at timestamptz NOT NULL DEFAULT now()
      );
      GRANT SELECT, INSERT ON app.histories TO precharge_app;

      -- null on a standby, which writes none
      CREATE FUNCTION app.server_history() RETURNS text LANGUAGE sql STABLE AS $$
        SELECT CASE WHEN NOT pg_is_in_recovery()
            THEN system_identifier || '/' || left(pg_walfile_name(pg_current_wal_lsn()), 8) END
          FROM pg_control_system()
      $$;

      -- The history that a change made now belongs to, listed already or not: a connection that has written a change
      -- knows it for the rest of its life. And the place below which every change is there for the statement that asks,
      -- and none will come: STABLE, since it has to see what that statement sees.
      CREATE FUNCTION app.change_clock(OUT number bigint, OUT history text, OUT settled_before bigint)
        LANGUAGE plpgsql STABLE AS $$
      DECLARE
        known text := current_setting('app.history', true);
        here text;
      BEGIN
        IF known <> '' THEN
          number := split_part(known, ' ', 1);
          history := split_part(known, ' ', 2);
        ELSE
          here := app.server_history();
          SELECT h.number, h.history INTO number, history FROM app.histories h ORDER BY h.number DESC LIMIT 1;
          IF here IS NOT NULL AND here IS DISTINCT FROM history THEN
            number := COALESCE(number + 1, 0);
            history := here;
          END IF;
        END IF;
        settled_before := (number << 48) + pg_snapshot_xmin(pg_current_snapshot())::text::bigint;
      END $$;

      CREATE FUNCTION app.settled_before() RETURNS bigint LANGUAGE sql STABLE
        AS $$ SELECT settled_before FROM app.change_clock() $$;

      -- Orders changes. Not below the transaction's own number, so that it is not settled before the transaction
      -- has ended; and above those that had ended by now, so that of two changes to what a lock guards the later
      -- one comes later, though its transaction may have begun earlier.
      CREATE OR REPLACE FUNCTION app.transaction_id() RETURNS bigint LANGUAGE plpgsql VOLATILE AS $$
      DECLARE
        clock record;
      BEGIN
        clock := app.change_clock();
        IF COALESCE(current_setting('app.history', true), '') = '' THEN
          INSERT INTO app.histories (number, history) VALUES (clock.number, clock.history) ON CONFLICT DO NOTHING;
          PERFORM set_config('app.history', clock.number || ' ' || clock.history, false);
        END IF;
        RETURN (clock.number << 48)
          + GREATEST(pg_current_xact_id(), pg_snapshot_xmax(pg_current_snapshot()))::text::bigint;
      END $$;
      GRANT EXECUTE ON ALL FUNCTIONS IN SCHEMA app TO precharge_app;
    `);
    await queryRunner.query(`INSERT INTO app.histories (number, history) VALUES (0, app.server_history())`);

    await queryRunner.query(`
      CREATE TABLE events (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        type text NOT NULL,
        subject_type text NOT NULL,
        subject_id uuid NOT NULL,
        vehicle_id uuid,
        fleet_id uuid,
        workshop_id uuid,
        recorded_at timestamptz NOT NULL DEFAULT now(),
        data jsonb NOT NULL,
        xid bigint NOT NULL DEFAULT app.transaction_id(),
        sequence bigint NOT NULL DEFAULT nextval('audit_entries_sequence_seq'),
        CONSTRAINT events_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT events_organisation_fkey FOREIGN KEY (organisation_id) REFERENCES organisations (organisation_id)
      );
      CREATE INDEX events_feed_idx ON events (organisation_id, xid, sequence);

      -- The events that follow a place, along the index: by their estimates under row security, planners would rather
      -- collect and sort all that follow for every page of them.
      CREATE FUNCTION app.events_after(after_xid bigint, after_sequence bigint, before_xid bigint, at_most integer)
        RETURNS SETOF events LANGUAGE sql STABLE ROWS 500
        SET enable_sort = off SET enable_bitmapscan = off SET enable_seqscan = off
        AS $$
          SELECT * FROM events WHERE (xid, sequence) > (after_xid, after_sequence) AND xid < before_xid
            ORDER BY xid, sequence LIMIT at_most
        $$;

      -- The last of the settled events that a reader may see.
      CREATE FUNCTION app.last_event(before_xid bigint) RETURNS SETOF events LANGUAGE sql STABLE ROWS 1
        SET enable_sort = off SET enable_bitmapscan = off SET enable_seqscan = off
        AS $$
          SELECT * FROM events WHERE xid < before_xid ORDER BY xid DESC, sequence DESC LIMIT 1
        $$;

      -- The last event that is no longer kept; and a place below which everything is settled, where those go on to who
      -- are shown no events. Unlike what is settled at this moment it is committed, so no crash takes it back.
      CREATE TABLE event_horizons (
        organisation_id uuid NOT NULL,
        xid bigint NOT NULL DEFAULT 0,
        sequence bigint NOT NULL DEFAULT 0,
        settled_before bigint NOT NULL,
        moved_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT event_horizons_pkey PRIMARY KEY (organisation_id),
        CONSTRAINT event_horizons_organisation_fkey FOREIGN KEY (organisation_id)
          REFERENCES organisations (organisation_id)
      );

      -- What of the passing of time has been told: a due item of one interval that became due or overdue, and the
      -- vehicles that are on hold.
      CREATE TABLE announced_states (
        organisation_id uuid NOT NULL,
        vehicle_id uuid NOT NULL,
        fleet_id uuid NOT NULL,
        item text NOT NULL,
        state text NOT NULL,
        announced_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT announced_states_pkey PRIMARY KEY (organisation_id, vehicle_id, item, state),
        CONSTRAINT announced_states_vehicle_fkey FOREIGN KEY (organisation_id, fleet_id, vehicle_id)
          REFERENCES vehicles (organisation_id, fleet_id, id) ON UPDATE CASCADE
      );

      -- Whom background work visits: ids alone, since row security shows one organisation at a time.
      CREATE TABLE app.tenants (organisation_id uuid PRIMARY KEY);
      GRANT SELECT ON app.tenants TO precharge_app;
      CREATE FUNCTION app.note_tenant() RETURNS trigger LANGUAGE plpgsql AS $$
      BEGIN
        IF TG_OP = 'DELETE' THEN
          DELETE FROM app.tenants WHERE organisation_id = OLD.organisation_id;
        ELSE
          INSERT INTO app.tenants VALUES (NEW.organisation_id);
        END IF;
        RETURN NULL;
      END $$;
      CREATE TRIGGER organisations_tenant AFTER INSERT OR DELETE ON organisations
        FOR EACH ROW EXECUTE FUNCTION app.note_tenant();

      -- How many events no reader may see yet, over all organisations: for the figures of operation.
      CREATE FUNCTION app.unsettled_events(OUT events bigint, OUT oldest_at timestamptz) LANGUAGE plpgsql VOLATILE
        SET enable_seqscan = off AS $$
      DECLARE
        settled bigint := app.settled_before();
        tenant uuid;
        found_events bigint;
        found_at timestamptz;
      BEGIN
        events := 0;
        FOR tenant IN SELECT organisation_id FROM app.tenants LOOP
          PERFORM app.enter(tenant, NULL);
          SELECT count(*), min(e.recorded_at) INTO found_events, found_at FROM events e WHERE e.xid >= settled;
          events := events + found_events;
          oldest_at := LEAST(oldest_at, found_at);
        END LOOP;
        PERFORM set_config('app.organisation_id', '', true);
      END $$;
      GRANT EXECUTE ON ALL FUNCTIONS IN SCHEMA app TO precharge_app;

      -- an owner without the rights of a superuser is under row security as well
      ALTER TABLE organisations NO FORCE ROW LEVEL SECURITY;
      INSERT INTO app.tenants SELECT organisation_id FROM organisations;
      ALTER TABLE organisations FORCE ROW LEVEL SECURITY;
    `);
    for (const { name, read, write, grants } of tables) {
      await queryRunner.query(`
        ALTER TABLE ${name} ENABLE ROW LEVEL SECURITY;
        ALTER TABLE ${name} FORCE ROW LEVEL SECURITY;
        CREATE POLICY ${name}_tenant ON ${name} USING (${read}) WITH CHECK (${write});
        GRANT ${grants} ON ${name} TO precharge_app;
      `);
    }
  }

  async down(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      DROP FUNCTION app.unsettled_events();
      DROP TRIGGER organisations_tenant ON organisations;
      DROP FUNCTION app.note_tenant();
      DROP TABLE app.tenants;
      DROP TABLE announced_states;
      DROP TABLE event_horizons;
      DROP FUNCTION app.events_after(bigint, bigint, bigint, integer);
      DROP FUNCTION app.last_event(bigint);
      DROP TABLE events;
      CREATE OR REPLACE FUNCTION app.transaction_id() RETURNS bigint LANGUAGE sql VOLATILE
        AS $$ SELECT pg_current_xact_id()::text::bigint $$;
      DROP FUNCTION app.settled_before();
      DROP FUNCTION app.change_clock();
      DROP FUNCTION app.server_history();
      DROP TABLE app.histories;
    `);
  }
}
