import type { EntityManager } from 'typeorm';
import { CodedError } from '../errors/coded-error';
import type { IdempotentRequest } from '../http/request-context';
import type { Principal } from '../security/principal';

/**
 * The stored answer to an earlier request with the same key, or null when this is the first.
 *
 * @throws CodedError `request-in-progress` while another process answers it, `idempotency-key-reused` when
 * the key stands for a different request
 */
export async function findRecordedResponse(
  tx: EntityManager,
  principal: Principal,
  { key, fingerprint }: IdempotentRequest,
): Promise<{ response: unknown } | null> {
  // Taken before the record is looked for: a record that the holder of the lock commits is then seen here.
  const [lock] = await tx.query<[{ taken: boolean }]>(
    `SELECT pg_try_advisory_xact_lock(hashtextextended($1, 0)) AS taken`,
    [`${principal.organisationId} ${principal.actorId ?? ''} ${key}`],
  );
  if (!lock.taken) {
    throw new CodedError(
      'request-in-progress',
      `The request with Idempotency-Key "${key}" is still running.`,
    );
  }
  const [record] = await tx.query<{ fingerprint: string; response: unknown }[]>(
    `SELECT fingerprint, response FROM idempotency_records
      WHERE organisation_id = $1 AND actor_id = $2 AND idempotency_key = $3`,
    [principal.organisationId, principal.actorId, key],
  );
  if (record === undefined) return null;
  if (record.fingerprint !== fingerprint) {
    throw new CodedError('idempotency-key-reused', `"${key}" was used for another request before.`);
  }
  return { response: record.response };
}

export async function recordResponse(
  tx: EntityManager,
  principal: Principal,
  { key, fingerprint }: IdempotentRequest,
  response: unknown,
): Promise<void> {
  // every new record takes a few expired ones with it, so that nothing has to come by and clean up
  await tx.query(
    `WITH expired AS (
        SELECT organisation_id, actor_id, idempotency_key FROM idempotency_records
          WHERE created_at < now() - interval '48 hours' LIMIT 5 FOR UPDATE SKIP LOCKED
      ), removed AS (
        DELETE FROM idempotency_records r USING expired e WHERE r.organisation_id = e.organisation_id
          AND r.actor_id = e.actor_id AND r.idempotency_key = e.idempotency_key
      )
      INSERT INTO idempotency_records (organisation_id, actor_id, idempotency_key, fingerprint, response)
        VALUES ($1, $2, $3, $4, $5)`,
    [principal.organisationId, principal.actorId, key, fingerprint, JSON.stringify(response)],
  );
}
