import { Injectable } from '@nestjs/common';
import { In, IsNull, MoreThan } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { Gauge } from './gauge.entity';

@Injectable()
export class GaugesRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, includeRetired: boolean, afterId: string | null, limit: number): Promise<Gauge[]> {
    return tx.find(Gauge, {
      where: {
        ...(includeRetired ? {} : { retiredOn: IsNull() }),
        ...(afterId === null ? {} : { id: MoreThan(afterId) }),
      },
      order: { id: 'ASC' },
      take: limit + 1,
    });
  }

  find(tx: Tx, id: string): Promise<Gauge | null> {
    return tx.findOneBy(Gauge, { id });
  }

  findByIds(tx: Tx, ids: string[]): Promise<Gauge[]> {
    return tx.findBy(Gauge, { id: In(ids) });
  }

  findByCodes(tx: Tx, codes: readonly string[]): Promise<Gauge[]> {
    return tx.findBy(Gauge, { code: In([...codes]) });
  }

  lock(tx: Tx, id: string): Promise<Gauge | null> {
    return tx.findOne(Gauge, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  save(tx: Tx, gauge: Gauge): Promise<Gauge> {
    return tx.save(Gauge, gauge);
  }

  create(
    tx: Tx,
    values: Pick<
      Gauge,
      'organisationId' | 'code' | 'name' | 'rangeHighBarGauge' | 'calibrationDueOn' | 'retiredOn'
    >,
  ): Promise<Gauge> {
    return tx.save(Gauge, tx.create(Gauge, values));
  }
}
