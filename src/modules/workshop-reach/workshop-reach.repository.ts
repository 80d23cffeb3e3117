import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import { ReachableWorkshop } from './reachable-workshop.entity';
import { WorkshopReach } from './workshop-reach.entity';

export type Transfer = Pick<ReachableWorkshop, 'workshopId' | 'transferMinutes' | 'transferCostMinor'>;

/** What is set for a depot: the nearest workshop first. */
export interface StoredReach {
  depotId: string;
  revision: number;
  workshops: Transfer[];
}

@Injectable()
export class WorkshopReachRepository {
  /** Those of some depots for which it is set. */
  findOfDepots(tx: Tx, depotIds: readonly string[]): Promise<StoredReach[]> {
    return tx.query<StoredReach[]>(
      `SELECT r.depot_id AS "depotId", r.revision, COALESCE(json_agg(json_build_object('workshopId', w.workshop_id,
            'transferMinutes', w.transfer_minutes, 'transferCostMinor', w.transfer_cost_minor)
          ORDER BY w.transfer_minutes, w.transfer_cost_minor, w.workshop_id)
          FILTER (WHERE w.workshop_id IS NOT NULL), '[]') AS workshops
        FROM workshop_reaches r LEFT JOIN reachable_workshops w
          ON w.organisation_id = r.organisation_id AND w.depot_id = r.depot_id
        WHERE r.depot_id = ANY ($1::uuid[]) GROUP BY r.organisation_id, r.depot_id`,
      [depotIds],
    );
  }

  async replace(tx: Tx, reach: WorkshopReach, workshops: readonly Transfer[]): Promise<void> {
    const { organisationId, depotId, fleetId } = await tx.save(WorkshopReach, reach);
    await tx.delete(ReachableWorkshop, { organisationId, depotId });
    await tx.insert(
      ReachableWorkshop,
      workshops.map((transfer) => ({ organisationId, depotId, fleetId, ...transfer })),
    );
  }
}
