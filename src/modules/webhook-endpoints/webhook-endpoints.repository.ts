import { Injectable } from '@nestjs/common';
import { In } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { WebhookEndpoint } from './webhook-endpoint.entity';
import { WebhookSigningSecret } from './webhook-signing-secret.entity';

type NewWebhookEndpoint = Omit<
  WebhookEndpoint,
  | 'revision'
  | 'createdAt'
  | 'updatedAt'
  | 'disabledReason'
  | 'consentedAt'
  | 'lastConsentAttempt'
  | 'failingSince'
  | 'resumeAt'
  | 'eventsLostAt'
>;

@Injectable()
export class WebhookEndpointsRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, afterId: string | null, limit: number): Promise<WebhookEndpoint[]> {
    const query = tx
      .createQueryBuilder(WebhookEndpoint, 'e')
      .orderBy('e.id')
      .limit(limit + 1);
    if (afterId !== null) query.where('e.id > :afterId', { afterId });
    return query.getMany();
  }

  count(tx: Tx): Promise<number> {
    return tx.count(WebhookEndpoint);
  }

  find(tx: Tx, id: string): Promise<WebhookEndpoint | null> {
    return tx.findOneBy(WebhookEndpoint, { id });
  }

  lock(tx: Tx, id: string): Promise<WebhookEndpoint | null> {
    return tx.findOne(WebhookEndpoint, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  create(tx: Tx, values: NewWebhookEndpoint): Promise<WebhookEndpoint> {
    return tx.save(
      WebhookEndpoint,
      tx.create(WebhookEndpoint, {
        ...values,
        disabledReason: null,
        consentedAt: null,
        lastConsentAttempt: null,
        failingSince: null,
        resumeAt: null,
        eventsLostAt: null,
      }),
    );
  }

  save(tx: Tx, endpoint: WebhookEndpoint): Promise<WebhookEndpoint> {
    return tx.save(WebhookEndpoint, endpoint);
  }

  async delete(tx: Tx, { organisationId, id }: WebhookEndpoint): Promise<void> {
    await tx.delete(WebhookEndpoint, { organisationId, id });
  }

  /** Every transaction of the feed below this number has ended. */
  async settledBefore(tx: Tx): Promise<string> {
    const [row] = await tx.query<[{ xid: string }]>(`SELECT app.settled_before() AS xid`);
    return row.xid;
  }

  /**
   * Narrows the rest of the transaction to what an endpoint is told of, so that row security decides on each event
   * as it does for a key with the same limits.
   */
  async enter(tx: Tx, { fleetIds, workshopIds }: WebhookEndpoint): Promise<void> {
    const setting = (ids: string[] | null): string => (ids === null ? '' : `{${ids.join(',')}}`);
    await tx.query(`SELECT set_config('app.fleet_ids', $1, true), set_config('app.workshop_ids', $2, true)`, [
      setting(fleetIds),
      setting(workshopIds),
    ]);
  }

  /**
   * Moves the cursor of an endpoint back to before the first event since a moment, never forward. Answers when that
   * event was recorded, null where there is none.
   */
  async goBackTo(tx: Tx, endpointId: string, since: Date): Promise<Date | null> {
    const [first] = await tx.query<{ xid: string; sequence: string; recordedAt: Date }[]>(
      `SELECT xid, sequence, recorded_at AS "recordedAt" FROM events WHERE recorded_at >= $1
        ORDER BY xid, sequence LIMIT 1`,
      [since],
    );
    if (first === undefined) return null;
    await tx.query(
      `UPDATE webhook_endpoints SET cursor_xid = $2, cursor_sequence = $3::bigint - 1
        WHERE id = $1 AND (cursor_xid, cursor_sequence) >= ($2, $3::bigint)`,
      [endpointId, first.xid, first.sequence],
    );
    return first.recordedAt;
  }

  /** Of some endpoints, newest first. */
  secretsOf(tx: Tx, endpointIds: readonly string[]): Promise<WebhookSigningSecret[]> {
    return tx.find(WebhookSigningSecret, {
      where: { endpointId: In([...endpointIds]) },
      order: { id: 'DESC' },
    });
  }

  addSecret(
    tx: Tx,
    organisationId: string,
    endpointId: string,
    sealed: Buffer,
  ): Promise<WebhookSigningSecret> {
    const secret = tx.create(WebhookSigningSecret, { organisationId, endpointId, sealed, endsAt: null });
    return tx.save(WebhookSigningSecret, secret);
  }

  /** Lets the secrets of an endpoint end, each where it does not end earlier, and forgets those that have ended. */
  async endSecrets(tx: Tx, endpointId: string, now: Date, endsAt: Date): Promise<void> {
    await tx.query(`DELETE FROM webhook_signing_secrets WHERE endpoint_id = $1 AND ends_at <= $2`, [
      endpointId,
      now,
    ]);
    await tx.query(
      `UPDATE webhook_signing_secrets SET ends_at = LEAST(ends_at, $2::timestamptz) WHERE endpoint_id = $1`,
      [endpointId, endsAt],
    );
  }
}
