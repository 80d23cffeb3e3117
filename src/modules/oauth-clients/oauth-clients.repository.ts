import { Injectable } from '@nestjs/common';
import type { SelectQueryBuilder } from 'typeorm';
import { withinOwnLimits } from '../../platform/database/access-limits';
import type { Statement, Tx } from '../../platform/database/transactions';
import type { Role } from '../../platform/security/role';
import type { Scope } from '../../platform/security/scope';
import { OAuthClient } from './oauth-client.entity';

/** What signing in looks at. */
export interface SigningInClient {
  id: string;
  name: string;
  role: Role;
  scopes: Scope[];
  /** digests of the secrets that are accepted now: one, or two during the overlap of a rotation */
  secrets: Buffer[];
}

@Injectable()
export class OAuthClientsRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, includeRevoked: boolean, afterId: string | null, limit: number): Promise<OAuthClient[]> {
    const query = this.visible(tx)
      .orderBy('c.id')
      .limit(limit + 1);
    if (!includeRevoked) query.andWhere('c.revokedAt IS NULL');
    if (afterId !== null) query.andWhere('c.id > :afterId', { afterId });
    return query.getMany();
  }

  find(tx: Tx, id: string): Promise<OAuthClient | null> {
    return this.visible(tx).andWhere('c.id = :id', { id }).getOne();
  }

  lock(tx: Tx, id: string): Promise<OAuthClient | null> {
    return this.visible(tx).andWhere('c.id = :id', { id }).setLock('pessimistic_write').getOne();
  }

  save(tx: Tx, client: OAuthClient): Promise<OAuthClient> {
    return tx.save(OAuthClient, client);
  }

  create(tx: Tx, values: Omit<OAuthClient, 'id' | 'revision' | 'createdAt'>): Promise<OAuthClient> {
    return tx.save(OAuthClient, tx.create(OAuthClient, values));
  }

  /** Secrets end by the clock of the database, which is the one that checks them. */
  async now(tx: Tx): Promise<Date> {
    const [row] = await tx.query<[{ now: Date }]>(`SELECT now() AS now`);
    return row.now;
  }

  private visible(tx: Tx): SelectQueryBuilder<OAuthClient> {
    return tx.createQueryBuilder(OAuthClient, 'c').where(withinOwnLimits('c'));
  }
}

/** The client that wants to sign in, unless it is revoked. */
export function signingIn(id: string): Statement<SigningInClient> {
  return {
    sql: `SELECT id, name, role, scopes,
        CASE WHEN previous_secret_ends_at > now() THEN ARRAY[secret_sha256, previous_secret_sha256]
          ELSE ARRAY[secret_sha256] END AS secrets
      FROM oauth_clients WHERE id = $1 AND revoked_at IS NULL`,
    parameters: [id],
  };
}
