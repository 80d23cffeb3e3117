import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import { UsageModelRecord } from './usage-model-record.entity';

export type NewUsageModel = Omit<UsageModelRecord, 'fittedAt'>;

/** What lists are sorted by. */
export type UsageModelKey = [fleetId: string, meter: string, dutyClass: string];

@Injectable()
export class UsageModelsRepository {
  /** By fleet, meter and duty class; one row more than `limit`. */
  list(
    tx: Tx,
    filter: { fleetId?: string },
    after: UsageModelKey | null,
    limit: number,
  ): Promise<UsageModelRecord[]> {
    const query = tx
      .createQueryBuilder(UsageModelRecord, 'm')
      .orderBy('m.fleetId')
      .addOrderBy('m.meter')
      .addOrderBy('m.dutyClass')
      .limit(limit + 1);
    if (filter.fleetId !== undefined) query.andWhere('m.fleetId = :fleetId', filter);
    if (after !== null) {
      const [fleetId, meter, dutyClass] = after;
      query.andWhere('(m.fleetId, m.meter, m.dutyClass) > (:afterFleet, :afterMeter, :afterClass)', {
        afterFleet: fleetId,
        afterMeter: meter,
        afterClass: dutyClass,
      });
    }
    return query.getMany();
  }

  /** Puts the models in the place of all that the fleet had. */
  async replace(tx: Tx, fleetId: string, models: NewUsageModel[]): Promise<UsageModelRecord[]> {
    await tx.delete(UsageModelRecord, { fleetId });
    const records = tx.create(UsageModelRecord, models);
    if (records.length > 0) await tx.insert(UsageModelRecord, records);
    return records;
  }
}
