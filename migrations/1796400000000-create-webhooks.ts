import type { MigrationInterface, QueryRunner } from 'typeorm';

const inOrganisation = 'organisation_id = (SELECT app.organisation_id())';
// who is limited to fleets or workshops reaches no endpoint that is told of more
const within = (scope: string): string =>
  `((SELECT app.${scope}()) IS NULL OR ${scope} <@ (SELECT app.${scope}()))`;

const visible: Record<string, string> = {
  webhook_endpoints: `${inOrganisation} AND ${within('fleet_ids')} AND ${within('workshop_ids')}`,
  // reached by way of their endpoint
  webhook_signing_secrets: inOrganisation,
  webhook_lanes: inOrganisation,
  webhook_deliveries: inOrganisation,
};

export class CreateWebhooks1796400000000 implements MigrationInterface {
  name = 'CreateWebhooks1796400000000';

  async up(queryRunner: QueryRunner): Promise<void> {
    await queryRunner.query(`
      CREATE TABLE webhook_endpoints (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        url text NOT NULL,
        description text,
        event_types text[],
        fleet_ids uuid[],
        workshop_ids uuid[],
        enabled boolean NOT NULL,
        disabled_reason text,
        consent_request_id uuid NOT NULL,
        consent_requested_at timestamptz NOT NULL,
        challenge text NOT NULL,
        consented_at timestamptz,
        last_consent_attempt jsonb,
        cursor_xid bigint NOT NULL,
        cursor_sequence bigint NOT NULL,
        failing_since timestamptz,
        resume_at timestamptz,
        events_lost_at timestamptz,
        created_by text NOT NULL,
        revision integer NOT NULL DEFAULT 1,
        created_at timestamptz NOT NULL DEFAULT now(),
        updated_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT webhook_endpoints_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT webhook_endpoints_disabled_check CHECK (
          disabled_reason IS NULL OR (disabled_reason IN ('gone', 'unreachable') AND NOT enabled)
        ),
        CONSTRAINT webhook_endpoints_organisation_fkey FOREIGN KEY (organisation_id)
          REFERENCES organisations (organisation_id)
      );

      CREATE TABLE webhook_signing_secrets (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        endpoint_id uuid NOT NULL,
        sealed bytea NOT NULL,
        ends_at timestamptz,
        created_at timestamptz NOT NULL DEFAULT now(),
        CONSTRAINT webhook_signing_secrets_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT webhook_signing_secrets_endpoint_fkey FOREIGN KEY (organisation_id, endpoint_id)
          REFERENCES webhook_endpoints (organisation_id, id) ON DELETE CASCADE
      );
      CREATE INDEX webhook_signing_secrets_endpoint_idx ON webhook_signing_secrets (organisation_id, endpoint_id);

      CREATE TABLE webhook_lanes (
        organisation_id uuid NOT NULL,
        endpoint_id uuid NOT NULL,
        lane text NOT NULL,
        due_at timestamptz,
        CONSTRAINT webhook_lanes_pkey PRIMARY KEY (organisation_id, endpoint_id, lane),
        CONSTRAINT webhook_lanes_endpoint_fkey FOREIGN KEY (organisation_id, endpoint_id)
          REFERENCES webhook_endpoints (organisation_id, id) ON DELETE CASCADE
      );
      CREATE INDEX webhook_lanes_due_idx ON webhook_lanes (organisation_id, endpoint_id, due_at);

      CREATE TABLE webhook_deliveries (
        organisation_id uuid NOT NULL,
        id uuid NOT NULL DEFAULT uuidv7(),
        endpoint_id uuid NOT NULL,
        event_id uuid NOT NULL,
        event_type text NOT NULL,
        lane text NOT NULL,
        xid bigint NOT NULL,
        sequence bigint NOT NULL,
        state text NOT NULL,
        failed_attempts integer NOT NULL DEFAULT 0,
        next_attempt_at timestamptz,
        attempts jsonb NOT NULL DEFAULT '[]',
        created_at timestamptz NOT NULL DEFAULT now(),
        settled_at timestamptz,
        CONSTRAINT webhook_deliveries_pkey PRIMARY KEY (organisation_id, id),
        CONSTRAINT webhook_deliveries_event_key UNIQUE (organisation_id, endpoint_id, event_id),
        CONSTRAINT webhook_deliveries_state_check CHECK (state IN ('waiting', 'delivered', 'dead')),
        CONSTRAINT webhook_deliveries_endpoint_fkey FOREIGN KEY (organisation_id, endpoint_id)
          REFERENCES webhook_endpoints (organisation_id, id) ON DELETE CASCADE
      );
      CREATE INDEX webhook_deliveries_list_idx ON webhook_deliveries (organisation_id, endpoint_id, id);
      CREATE INDEX webhook_deliveries_waiting_idx
        ON webhook_deliveries (organisation_id, endpoint_id, lane, xid, sequence) WHERE state = 'waiting';
      CREATE INDEX webhook_deliveries_state_idx ON webhook_deliveries (organisation_id, endpoint_id, state, id);
      CREATE INDEX webhook_deliveries_settled_idx ON webhook_deliveries (organisation_id, endpoint_id, settled_at)
        WHERE settled_at IS NOT NULL;

      -- Whose turn it is to be looked after in the background, over all organisations, since row security shows one at
      -- a time: ids, times and a count alone. A turn is leased; the lease of a worker that died runs out.
      CREATE TABLE app.turns (
        kind text NOT NULL,
        organisation_id uuid NOT NULL,
        subject_id uuid NOT NULL,
        due_at timestamptz NOT NULL,
        lease uuid,
        leased_until timestamptz,
        waiting integer NOT NULL DEFAULT 0,
        CONSTRAINT turns_pkey PRIMARY KEY (organisation_id, kind, subject_id)
      );
      CREATE INDEX turns_due_idx ON app.turns (kind, due_at);
      GRANT SELECT, INSERT, UPDATE, DELETE ON app.turns TO precharge_app;
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
    await queryRunner.query(`DROP TABLE app.turns`);
    for (const name of Object.keys(visible).reverse()) await queryRunner.query(`DROP TABLE ${name}`);
  }
}
