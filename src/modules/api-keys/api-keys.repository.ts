import { Injectable } from '@nestjs/common';
import type { SelectQueryBuilder } from 'typeorm';
import { withinOwnLimits } from '../../platform/database/access-limits';
import type { Tx } from '../../platform/database/transactions';
import { ApiKey } from './api-key.entity';

@Injectable()
export class ApiKeysRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, includeRevoked: boolean, afterId: string | null, limit: number): Promise<ApiKey[]> {
    const query = this.visible(tx)
      .orderBy('k.id')
      .limit(limit + 1);
    if (!includeRevoked) query.andWhere('k.revokedAt IS NULL');
    if (afterId !== null) query.andWhere('k.id > :afterId', { afterId });
    return query.getMany();
  }

  find(tx: Tx, id: string): Promise<ApiKey | null> {
    return this.visible(tx).andWhere('k.id = :id', { id }).getOne();
  }

  lock(tx: Tx, id: string): Promise<ApiKey | null> {
    return this.visible(tx).andWhere('k.id = :id', { id }).setLock('pessimistic_write').getOne();
  }

  save(tx: Tx, key: ApiKey): Promise<ApiKey> {
    return tx.save(ApiKey, key);
  }

  create(tx: Tx, values: Omit<ApiKey, 'id' | 'revision' | 'createdAt' | 'revokedAt'>): Promise<ApiKey> {
    return tx.save(ApiKey, tx.create(ApiKey, { ...values, revokedAt: null }));
  }

  /** Keys expire by the clock of the database, which is the one that checks them. */
  async now(tx: Tx): Promise<Date> {
    const [row] = await tx.query<[{ now: Date }]>(`SELECT now() AS now`);
    return row.now;
  }

  /** Two administrators that revoke each other at the same moment take turns here. */
  async lockAdministration(tx: Tx, organisationId: string): Promise<void> {
    await tx.query(`SELECT FROM organisations WHERE organisation_id = $1 FOR UPDATE`, [organisationId]);
  }

  /** Whether another administrator key is accepted now, sees as many fleets, and lasts as long. */
  async hasPeerOf(tx: Tx, key: ApiKey): Promise<boolean> {
    const [row] = await tx.query<[{ found: boolean }]>(
      `SELECT EXISTS (SELECT FROM api_keys k WHERE k.id <> $1 AND k.role = 'administrator'
        AND k.revoked_at IS NULL AND (k.expires_at IS NULL OR (k.expires_at > now() AND k.expires_at >= $2))
        AND (k.fleet_ids IS NULL OR k.fleet_ids @> $3::uuid[])
        AND (k.workshop_ids IS NULL OR k.workshop_ids @> $4::uuid[])) AS found`,
      [key.id, key.expiresAt, key.fleetIds, key.workshopIds],
    );
    return row.found;
  }

  private visible(tx: Tx): SelectQueryBuilder<ApiKey> {
    return tx.createQueryBuilder(ApiKey, 'k').where(withinOwnLimits('k'));
  }
}
