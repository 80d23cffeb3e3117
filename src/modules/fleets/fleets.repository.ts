import { Injectable } from '@nestjs/common';
import { In, MoreThan } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { Fleet } from './fleet.entity';

@Injectable()
export class FleetsRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, afterId: string | null, limit: number): Promise<Fleet[]> {
    return tx.find(Fleet, {
      where: afterId === null ? {} : { id: MoreThan(afterId) },
      order: { id: 'ASC' },
      take: limit + 1,
    });
  }

  find(tx: Tx, id: string): Promise<Fleet | null> {
    return tx.findOneBy(Fleet, { id });
  }

  findByExternalKeys(tx: Tx, externalKeys: readonly string[]): Promise<Fleet[]> {
    return tx.findBy(Fleet, { externalKey: In([...externalKeys]) });
  }

  lock(tx: Tx, id: string): Promise<Fleet | null> {
    return tx.findOne(Fleet, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  lockByExternalKey(tx: Tx, externalKey: string): Promise<Fleet | null> {
    return tx.findOne(Fleet, { where: { externalKey }, lock: { mode: 'pessimistic_write' } });
  }

  save(tx: Tx, fleet: Fleet): Promise<Fleet> {
    return tx.save(Fleet, fleet);
  }

  create(
    tx: Tx,
    values: Pick<Fleet, 'organisationId' | 'externalKey' | 'name' | 'serviceProgrammeId'>,
  ): Promise<Fleet> {
    return tx.save(Fleet, tx.create(Fleet, values));
  }
}
