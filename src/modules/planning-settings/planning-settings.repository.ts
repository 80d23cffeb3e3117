import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import { PlanningSettings } from './planning-settings.entity';

@Injectable()
export class PlanningSettingsRepository {
  /** Row security leaves the one row of the caller's organisation. */
  async find(tx: Tx): Promise<PlanningSettings | null> {
    const [settings] = await tx.find(PlanningSettings, { take: 1 });
    return settings ?? null;
  }

  /** Takes the organisation for the transaction, so that of two who set them for the first time the second waits. */
  async lock(tx: Tx): Promise<PlanningSettings | null> {
    await tx.query(`SELECT FROM organisations FOR NO KEY UPDATE`);
    return this.find(tx);
  }

  save(tx: Tx, settings: PlanningSettings): Promise<PlanningSettings> {
    return tx.save(PlanningSettings, settings);
  }
}
