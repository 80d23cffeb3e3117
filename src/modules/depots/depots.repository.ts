import { Injectable } from '@nestjs/common';
import { In, MoreThan } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { Depot } from './depot.entity';

export interface DepotFilter {
  fleetId?: string;
}

@Injectable()
export class DepotsRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, filter: DepotFilter, afterId: string | null, limit: number): Promise<Depot[]> {
    return tx.find(Depot, {
      where: {
        ...(filter.fleetId === undefined ? {} : { fleetId: filter.fleetId }),
        ...(afterId === null ? {} : { id: MoreThan(afterId) }),
      },
      order: { id: 'ASC' },
      take: limit + 1,
    });
  }

  find(tx: Tx, id: string): Promise<Depot | null> {
    return tx.findOneBy(Depot, { id });
  }

  findByExternalKeys(tx: Tx, externalKeys: readonly string[]): Promise<Depot[]> {
    return tx.findBy(Depot, { externalKey: In([...externalKeys]) });
  }

  lock(tx: Tx, id: string): Promise<Depot | null> {
    return tx.findOne(Depot, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  lockByExternalKey(tx: Tx, externalKey: string): Promise<Depot | null> {
    return tx.findOne(Depot, { where: { externalKey }, lock: { mode: 'pessimistic_write' } });
  }

  save(tx: Tx, depot: Depot): Promise<Depot> {
    return tx.save(Depot, depot);
  }

  create(
    tx: Tx,
    values: Pick<Depot, 'organisationId' | 'fleetId' | 'externalKey' | 'name' | 'zone'>,
  ): Promise<Depot> {
    return tx.save(Depot, tx.create(Depot, values));
  }
}
