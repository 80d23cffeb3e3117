import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import { ATTEMPTS_KEPT, type DeliveryAttempt } from './delivery-attempt';
import { WebhookDelivery, type DeliveryState } from './webhook-delivery.entity';
import type { WebhookEndpoint } from './webhook-endpoint.entity';

/** What an attempt has made of a delivery. */
export interface SettledAttempt {
  id: string;
  lane: string;
  state: DeliveryState;
  failedAttempts: number;
  nextAttemptAt: Date | null;
  attempt: DeliveryAttempt;
}

/** The first waiting delivery of a lane. */
export type DeliveryHead = Pick<WebhookDelivery, 'id' | 'lane' | 'eventId' | 'failedAttempts'>;

// A statement of the settling: what the attempts of a batch have made of their deliveries, as rows.
const SETTLED = `jsonb_to_recordset($2::jsonb) AS r ("id" uuid, "lane" text, "state" text, "failedAttempts" integer,
  "nextAttemptAt" timestamptz, "attempt" jsonb)`;

@Injectable()
export class WebhookDeliveriesRepository {
  /** Newest first; one row more than `limit`. */
  list(
    tx: Tx,
    endpointId: string,
    state: DeliveryState | undefined,
    beforeId: string | null,
    limit: number,
  ): Promise<WebhookDelivery[]> {
    const query = tx
      .createQueryBuilder(WebhookDelivery, 'd')
      .where('d.endpointId = :endpointId', { endpointId })
      .orderBy('d.id', 'DESC')
      .limit(limit + 1);
    if (state !== undefined) query.andWhere('d.state = :state', { state });
    if (beforeId !== null) query.andWhere('d.id < :beforeId', { beforeId });
    return query.getMany();
  }

  find(tx: Tx, endpointId: string, id: string): Promise<WebhookDelivery | null> {
    return tx.findOneBy(WebhookDelivery, { endpointId, id });
  }

  /**
   * Makes deliveries of the next events that the endpoint wants and moves its cursor behind them. An event that it was
   * told of before is told again. Where there are none that it may know of, the cursor goes up to the mark of the feed,
   * so that others are not passed over again and again. Where events were forgotten before they came to their turn, the
   * endpoint says so from then on. Answers how many events were looked at.
   *
   * @param eventTypes what it wants to be told of
   */
  async dispatch(
    tx: Tx,
    { id, organisationId, cursorXid, cursorSequence }: WebhookEndpoint,
    eventTypes: readonly string[],
    now: Date,
    limit: number,
  ): Promise<number> {
    const [row] = await tx.query<[{ seen: number }]>(
      `WITH next AS MATERIALIZED (
        SELECT id, type, xid, sequence,
            CASE WHEN vehicle_id IS NULL THEN subject_type || ':' || subject_id ELSE 'vehicle:' || vehicle_id END AS lane
          FROM app.events_after($3, $4, (SELECT app.settled_before()), $7)
      ), forgotten AS MATERIALIZED (
        SELECT xid, sequence FROM event_horizons WHERE (xid, sequence) > ($3, $4)
      ), added AS (
        INSERT INTO webhook_deliveries AS d (organisation_id, endpoint_id, event_id, event_type, lane, xid, sequence, state)
          SELECT $1, $2, id, type, lane, xid, sequence, 'waiting' FROM next WHERE type = ANY ($5::text[])
            ORDER BY xid, sequence
          ON CONFLICT ON CONSTRAINT webhook_deliveries_event_key DO UPDATE
            SET state = 'waiting', failed_attempts = 0, next_attempt_at = NULL, settled_at = NULL
            WHERE d.state <> 'waiting'
          RETURNING lane
      ), lanes AS (
        INSERT INTO webhook_lanes AS l (organisation_id, endpoint_id, lane, due_at)
          SELECT DISTINCT $1::uuid, $2::uuid, lane, $6::timestamptz FROM added ORDER BY lane
          ON CONFLICT ON CONSTRAINT webhook_lanes_pkey DO UPDATE SET due_at = COALESCE(l.due_at, EXCLUDED.due_at)
      ), reached AS (
        SELECT xid, sequence FROM next
          UNION ALL SELECT xid, sequence FROM forgotten
          UNION ALL SELECT settled_before, 0 FROM event_horizons WHERE settled_before > $3 AND (SELECT count(*) FROM next) < $7
          ORDER BY xid DESC, sequence DESC LIMIT 1
      ), moved AS (
        UPDATE webhook_endpoints e SET cursor_xid = reached.xid, cursor_sequence = reached.sequence,
            events_lost_at = CASE WHEN EXISTS (SELECT FROM forgotten) THEN $6 ELSE e.events_lost_at END,
            revision = e.revision + (SELECT count(*)::int FROM forgotten)
          FROM reached WHERE e.id = $2
      )
      SELECT count(*)::int AS seen FROM next`,
      [organisationId, id, cursorXid, cursorSequence, eventTypes, now, limit],
    );
    return row.seen;
  }

  /** The first waiting delivery of each lane that may send, longest due first. */
  heads(
    tx: Tx,
    endpointId: string,
    now: Date,
    busyLanes: readonly string[],
    limit: number,
  ): Promise<DeliveryHead[]> {
    return tx.query(
      `SELECT d.id, d.lane, d.event_id AS "eventId", d.failed_attempts AS "failedAttempts"
        FROM (
          SELECT lane FROM webhook_lanes WHERE endpoint_id = $1 AND due_at <= $2 AND lane <> ALL ($3::text[])
            ORDER BY due_at LIMIT $4
        ) AS l CROSS JOIN LATERAL (
          SELECT id, lane, event_id, failed_attempts FROM webhook_deliveries
            WHERE endpoint_id = $1 AND lane = l.lane AND state = 'waiting' ORDER BY xid, sequence LIMIT 1
        ) AS d`,
      [endpointId, now, busyLanes, limit],
    );
  }

  /** Writes down what attempts have made of their deliveries, and opens each lane to its next one. */
  async settle(tx: Tx, endpointId: string, settled: readonly SettledAttempt[], now: Date): Promise<void> {
    await this.lockLanes(
      tx,
      endpointId,
      settled.map(({ lane }) => lane),
    );
    await tx.query(
      `UPDATE webhook_deliveries d SET state = r."state", failed_attempts = r."failedAttempts",
          next_attempt_at = r."nextAttemptAt", settled_at = CASE WHEN r."state" <> 'waiting' THEN $3::timestamptz END,
          attempts = CASE WHEN jsonb_array_length(d.attempts) < ${ATTEMPTS_KEPT} THEN d.attempts ELSE d.attempts - 0 END
            || jsonb_build_array(r."attempt")
        FROM ${SETTLED} WHERE d.endpoint_id = $1 AND d.id = r."id" AND d.state = 'waiting'`,
      [endpointId, JSON.stringify(settled), now],
    );
    await tx.query(
      `UPDATE webhook_lanes l SET due_at = COALESCE(r."nextAttemptAt", CASE WHEN EXISTS (
          SELECT FROM webhook_deliveries d WHERE d.endpoint_id = $1 AND d.lane = l.lane AND d.state = 'waiting'
        ) THEN $3::timestamptz END)
        FROM ${SETTLED} WHERE l.endpoint_id = $1 AND l.lane = r."lane"`,
      [endpointId, JSON.stringify(settled), now],
    );
  }

  /** How many deliveries wait, and when the next lane may send. */
  async outlook(tx: Tx, endpointId: string): Promise<{ waiting: number; nextDueAt: Date | null }> {
    const [row] = await tx.query<[{ waiting: number; nextDueAt: Date | null }]>(
      `SELECT (SELECT count(*)::int FROM webhook_deliveries WHERE endpoint_id = $1 AND state = 'waiting') AS waiting,
          (SELECT min(due_at) FROM webhook_lanes WHERE endpoint_id = $1) AS "nextDueAt"`,
      [endpointId],
    );
    return row;
  }

  /** Lets settled deliveries wait again, in their old place, and answers how many: one, or all in a state. */
  async replay(
    tx: Tx,
    endpointId: string,
    which: { id: string } | { state: 'dead' },
    now: Date,
  ): Promise<number> {
    // the same order as when attempts are settled: the lane first
    await this.lockLanes(tx, endpointId, null);
    const [lanes] = await tx.query<[{ lane: string }[], number]>(
      `UPDATE webhook_deliveries SET state = 'waiting', failed_attempts = 0, next_attempt_at = NULL, settled_at = NULL
        WHERE endpoint_id = $1 AND state <> 'waiting' AND ${'id' in which ? 'id = $2' : 'state = $2'} RETURNING lane`,
      [endpointId, 'id' in which ? which.id : which.state],
    );
    await tx.query(
      `UPDATE webhook_lanes SET due_at = COALESCE(due_at, $2) WHERE endpoint_id = $1 AND lane = ANY ($3::text[])`,
      [endpointId, now, lanes.map(({ lane }) => lane)],
    );
    return lanes.length;
  }

  /** Opens every lane with waiting deliveries at once, whatever they were waiting for. */
  async hurry(tx: Tx, endpointId: string, now: Date): Promise<void> {
    await this.lockLanes(tx, endpointId, null);
    await tx.query(`UPDATE webhook_lanes SET due_at = $2 WHERE endpoint_id = $1 AND due_at > $2`, [
      endpointId,
      now,
    ]);
  }

  /** Forgets some of the deliveries that were settled before a moment, oldest first. */
  async forget(tx: Tx, endpointId: string, settledBefore: Date, limit: number): Promise<void> {
    await tx.query(
      `DELETE FROM webhook_deliveries WHERE endpoint_id = $1 AND id IN (
        SELECT id FROM webhook_deliveries WHERE endpoint_id = $1 AND settled_at < $2 ORDER BY settled_at LIMIT $3)`,
      [endpointId, settledBefore, limit],
    );
  }

  private async lockLanes(tx: Tx, endpointId: string, lanes: readonly string[] | null): Promise<void> {
    await tx.query(
      `SELECT FROM webhook_lanes WHERE endpoint_id = $1 AND ($2::text[] IS NULL OR lane = ANY ($2))
        ORDER BY lane FOR UPDATE`,
      [endpointId, lanes],
    );
  }
}
