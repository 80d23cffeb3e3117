import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import type { StoredItem } from './demand-of-items';

export interface DemandFilter {
  fleetId?: string;
  depotId?: string;
}

/** Reads across the stored due items and the units that they are about. */
@Injectable()
export class DemandRepository {
  items(tx: Tx, { fleetId, depotId }: DemandFilter): Promise<StoredItem[]> {
    return tx.query<StoredItem[]>(
      // each table is read once, whatever the database knows of their sizes
      `WITH measured AS MATERIALIZED (
        SELECT unit_id, max(done_at)::date::text AS "lastMeasuredOn" FROM gas_unit_events
          WHERE voided_at IS NULL GROUP BY unit_id
      ), units AS MATERIALIZED (
        SELECT u.id, y.code AS "unitTypeCode", e."lastMeasuredOn"
          FROM gas_units u
            JOIN gas_unit_types y ON y.organisation_id = u.organisation_id AND y.id = u.unit_type_id
            LEFT JOIN measured e ON e.unit_id = u.id
      )
      SELECT i.details, i.reasoning, u."unitTypeCode", u."lastMeasuredOn"
        FROM due_items i LEFT JOIN units u ON u.id = (i.details->>'unitId')::uuid
        WHERE ($1::uuid IS NULL OR i.fleet_id = $1) AND ($2::uuid IS NULL OR i.depot_id = $2)
        ORDER BY i.vehicle_id, i.item_key`,
      [fleetId ?? null, depotId ?? null],
    );
  }

  /** Vehicles in service that owe nothing, because no service programme is in force for them or none of it applies. */
  async vehiclesWithoutItems(tx: Tx, { fleetId, depotId }: DemandFilter): Promise<number> {
    const [row] = await tx.query<{ vehicles: number }[]>(
      `SELECT count(*)::integer AS vehicles FROM vehicles v
        WHERE v.retired_on IS NULL AND ($1::uuid IS NULL OR v.fleet_id = $1) AND ($2::uuid IS NULL OR v.depot_id = $2)
          AND NOT EXISTS (SELECT FROM due_items i
            WHERE i.organisation_id = v.organisation_id AND i.vehicle_id = v.id)`,
      [fleetId ?? null, depotId ?? null],
    );
    return row?.vehicles ?? 0;
  }
}
