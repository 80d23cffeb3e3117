import { Injectable } from '@nestjs/common';
import type { CalendarDate } from '../../core/shared/calendar-date';
import type { Tx } from '../../platform/database/transactions';
import { BlackoutPeriod } from './blackout-period.entity';

type NewBlackoutPeriod = Pick<
  BlackoutPeriod,
  'organisationId' | 'vehicleId' | 'fleetId' | 'fromOn' | 'untilOn' | 'reason' | 'externalKey'
>;

@Injectable()
export class BlackoutPeriodsRepository {
  /** Earliest first, the shorter of two that begin on one day first. One row more than `limit`. */
  list(
    tx: Tx,
    vehicleId: string,
    after: Pick<BlackoutPeriod, 'fromOn' | 'untilOn'> | null,
    limit: number,
  ): Promise<BlackoutPeriod[]> {
    const query = tx
      .createQueryBuilder(BlackoutPeriod, 'b')
      .where('b.vehicleId = :vehicleId', { vehicleId })
      .orderBy('b.fromOn')
      .addOrderBy('b.untilOn')
      .limit(limit + 1);
    if (after !== null) query.andWhere('(b.fromOn, b.untilOn) > (:fromOn, :untilOn)', after);
    return query.getMany();
  }

  find(tx: Tx, vehicleId: string, id: string): Promise<BlackoutPeriod | null> {
    return tx.findOneBy(BlackoutPeriod, { vehicleId, id });
  }

  findSame(
    tx: Tx,
    vehicleId: string,
    fromOn: CalendarDate,
    untilOn: CalendarDate,
  ): Promise<BlackoutPeriod | null> {
    return tx.findOneBy(BlackoutPeriod, { vehicleId, fromOn, untilOn });
  }

  /** Those of some vehicles that share a day with the given ones, by vehicle, earliest first. */
  findShared(
    tx: Tx,
    vehicleIds: readonly string[],
    fromOn: CalendarDate,
    untilOn: CalendarDate,
  ): Promise<BlackoutPeriod[]> {
    return tx
      .createQueryBuilder(BlackoutPeriod, 'b')
      .where('b.vehicleId = ANY (:vehicleIds)', { vehicleIds })
      .andWhere('b.fromOn < :untilOn AND b.untilOn > :fromOn', { fromOn, untilOn })
      .orderBy('b.vehicleId')
      .addOrderBy('b.fromOn')
      .addOrderBy('b.untilOn')
      .getMany();
  }

  findByExternalKey(tx: Tx, externalKey: string): Promise<BlackoutPeriod | null> {
    return tx.findOneBy(BlackoutPeriod, { externalKey });
  }

  save(tx: Tx, period: BlackoutPeriod): Promise<BlackoutPeriod> {
    return tx.save(BlackoutPeriod, period);
  }

  create(tx: Tx, values: NewBlackoutPeriod): Promise<BlackoutPeriod> {
    return tx.save(BlackoutPeriod, tx.create(BlackoutPeriod, values));
  }

  async delete(tx: Tx, { organisationId, id }: BlackoutPeriod): Promise<void> {
    await tx.delete(BlackoutPeriod, { organisationId, id });
  }
}
