import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import { Hold } from './hold.entity';

@Injectable()
export class HoldsRepository {
  lock(tx: Tx, id: string): Promise<Hold | null> {
    return tx.findOne(Hold, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  save(tx: Tx, hold: Hold): Promise<Hold> {
    return tx.save(Hold, hold);
  }

  create(
    tx: Tx,
    values: Pick<Hold, 'organisationId' | 'vehicleId' | 'fleetId' | 'reason' | 'placedBy' | 'placedAt'>,
  ): Promise<Hold> {
    const open = { liftedBy: null, liftedAt: null, liftReason: null };
    return tx.save(Hold, tx.create(Hold, { ...values, ...open }));
  }
}
