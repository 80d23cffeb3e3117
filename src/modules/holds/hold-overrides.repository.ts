import { Injectable } from '@nestjs/common';
import { LessThan } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { HoldOverride } from './hold-override.entity';

@Injectable()
export class HoldOverridesRepository {
  /** Latest first, the revoked and the expired ones too. One row more than `limit`. */
  list(tx: Tx, vehicleId: string, beforeId: string | null, limit: number): Promise<HoldOverride[]> {
    return tx.find(HoldOverride, {
      where: { vehicleId, ...(beforeId === null ? {} : { id: LessThan(beforeId) }) },
      order: { id: 'DESC' },
      take: limit + 1,
    });
  }

  lock(tx: Tx, id: string): Promise<HoldOverride | null> {
    return tx.findOne(HoldOverride, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  save(tx: Tx, override: HoldOverride): Promise<HoldOverride> {
    return tx.save(HoldOverride, override);
  }

  create(
    tx: Tx,
    values: Omit<HoldOverride, 'id' | 'revision' | 'revokedAt' | 'revokedBy'>,
  ): Promise<HoldOverride> {
    return tx.save(HoldOverride, tx.create(HoldOverride, { ...values, revokedAt: null, revokedBy: null }));
  }
}
