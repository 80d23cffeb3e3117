import { Injectable } from '@nestjs/common';
import type { Reasoning } from '../../core/due/reasoning';
import type { DueState } from '../../core/due/state';
import type { Statement, Tx } from '../../platform/database/transactions';
import type { DueItemRow, VehicleDueItemRow } from './due-item-row';
import type { ItemText, StoredVersion } from './item-changes';

export interface DueItemFilter {
  fleetId?: string;
  depotId?: string;
  vehicleId?: string;
  task?: string;
  driver?: string;
  state?: DueState[];
  safetyCritical?: boolean;
  dueFrom?: string;
  dueUntil?: string;
  /** only vehicles that are on hold (`is`), or only the others */
  held: { is: boolean; vehicleIds: string[] } | null;
}

/** `i` is the item, `today` the depot's day: the only place that says what a state is when it is read. */
export const STATE = `CASE
  WHEN i.driver IS NULL THEN 'undetermined'
  WHEN i.late_on < t.today THEN 'overdue'
  WHEN i.due_on <= t.today THEN 'due'
  WHEN i.early_on <= t.today THEN 'due-soon'
  ELSE 'not-due' END`;

/** Items without a date come last in lists that are sorted by it. */
const NEVER = '9999-12-31';

export const DUE_ITEM_COLUMNS = `i.id, i.vehicle_id AS "vehicleId", i.fleet_id AS "fleetId", i.depot_id AS "depotId",
  v.registration_mark AS "registrationMark", v.fleet_number AS "fleetNumber", d.zone,
  t.today::text AS "todayOn", ${STATE} AS state, i.details`;

/** Due items on the day that `nowAt` is at their depots. */
export const dueItemsAt = (nowAt: string): string => `FROM due_items i
  JOIN vehicles v ON v.organisation_id = i.organisation_id AND v.id = i.vehicle_id
  JOIN depots d ON d.organisation_id = i.organisation_id AND d.id = i.depot_id
  CROSS JOIN LATERAL (SELECT (${nowAt}::timestamptz AT TIME ZONE d.zone)::date AS today) t`;

/** What lists are sorted by. */
export function sortKeyOf(row: DueItemRow): [string, string] {
  return [row.details.dueOn ?? NEVER, row.id];
}

const VEHICLE_ROWS = `SELECT i.id, v.id AS "vehicleId", v.fleet_id AS "fleetId", v.depot_id AS "depotId",
    v.registration_mark AS "registrationMark", v.fleet_number AS "fleetNumber", d.zone,
    t.today::text AS "todayOn", ${STATE} AS state, i.details
  FROM vehicles v
    JOIN depots d ON d.organisation_id = v.organisation_id AND d.id = v.depot_id
    CROSS JOIN LATERAL (SELECT ($2::timestamptz AT TIME ZONE d.zone)::date AS today) t
    LEFT JOIN due_items i ON i.organisation_id = v.organisation_id AND i.vehicle_id = v.id`;

/** All items of one vehicle; one row without an item when it has none, none when there is no such vehicle. */
export function itemsOfVehicle(vehicleId: string, nowAt: string): Statement<VehicleDueItemRow> {
  return {
    sql: `${VEHICLE_ROWS} WHERE v.id = $1 ORDER BY i.due_on NULLS LAST, i.item_key`,
    parameters: [vehicleId, nowAt],
  };
}

const RECORD = `vehicle_id uuid, fleet_id uuid, depot_id uuid, item_key text, task text, position text,
  safety_critical boolean, driver text, early_on date, due_on date, late_on date, details json, reasoning json`;

// `details` and `reasoning` go in as the texts that the digests were made from
function recordsOf(items: readonly (ItemText & { id?: string })[]): string {
  const records = items.map(({ id, vehicleId, fleetId, depotId, item, details, reasoning }) => {
    const columns = JSON.stringify({
      id,
      vehicle_id: vehicleId,
      fleet_id: fleetId,
      depot_id: depotId,
      item_key: item.key,
      task: item.task,
      position: item.position,
      safety_critical: item.safetyCritical,
      driver: item.driver,
      early_on: item.earlyOn,
      due_on: item.dueOn,
      late_on: item.lateOn,
    });
    return `${columns.slice(0, -1)},"details":${details},"reasoning":${reasoning}}`;
  });
  return `[${records.join(',')}]`;
}

@Injectable()
export class DueItemsRepository {
  /** What is stored of the vehicles' items, as far as a comparison needs it. */
  storedVersions(tx: Tx, vehicleIds: readonly string[]): Promise<StoredVersion[]> {
    return tx.query<StoredVersion[]>(
      `SELECT id, vehicle_id AS "vehicleId", item_key AS "itemKey",
          encode(sha256(convert_to(depot_id || details::text || reasoning::text, 'UTF8')), 'base64') AS digest
        FROM due_items WHERE vehicle_id = ANY ($1::uuid[])`,
      [vehicleIds],
    );
  }

  async add(tx: Tx, organisationId: string, items: readonly ItemText[]): Promise<void> {
    if (items.length === 0) return;
    await tx.query(
      `INSERT INTO due_items (organisation_id, vehicle_id, fleet_id, depot_id, item_key, task, position,
          safety_critical, driver, early_on, due_on, late_on, details, reasoning)
        SELECT $1, n.vehicle_id, n.fleet_id, n.depot_id, n.item_key, n.task, n.position, n.safety_critical, n.driver,
            n.early_on, n.due_on, n.late_on, n.details, n.reasoning
          FROM json_to_recordset($2::json) AS n (${RECORD})`,
      [organisationId, recordsOf(items)],
    );
  }

  async change(tx: Tx, items: readonly (ItemText & { id: string })[]): Promise<void> {
    if (items.length === 0) return;
    await tx.query(
      `UPDATE due_items i SET
          (fleet_id, depot_id, task, position, safety_critical, driver, early_on, due_on, late_on, details, reasoning) =
          (n.fleet_id, n.depot_id, n.task, n.position, n.safety_critical, n.driver, n.early_on, n.due_on, n.late_on,
           n.details, n.reasoning)
        FROM json_to_recordset($1::json) AS n (id uuid, ${RECORD})
        WHERE i.id = n.id`,
      [recordsOf(items)],
    );
  }

  async remove(tx: Tx, ids: readonly string[]): Promise<void> {
    if (ids.length > 0) await tx.query(`DELETE FROM due_items WHERE id = ANY ($1::uuid[])`, [ids]);
  }

  /** As `itemsOfVehicle`, of several vehicles. */
  ofVehicles(tx: Tx, vehicleIds: readonly string[], nowAt: string): Promise<VehicleDueItemRow[]> {
    return tx.query<VehicleDueItemRow[]>(
      `${VEHICLE_ROWS} WHERE v.id = ANY ($1::uuid[]) ORDER BY v.id, i.item_key`,
      [vehicleIds, nowAt],
    );
  }

  /** Vehicles with something overdue at their depots at a moment. */
  async vehiclesOverdue(
    tx: Tx,
    { fleetId, depotId }: Pick<DueItemFilter, 'fleetId' | 'depotId'>,
    nowAt: string,
  ): Promise<string[]> {
    const rows = await tx.query<{ vehicleId: string }[]>(
      `SELECT DISTINCT i.vehicle_id AS "vehicleId" ${dueItemsAt('$1')}
        WHERE ${STATE} = 'overdue' AND ($2::uuid IS NULL OR i.fleet_id = $2) AND ($3::uuid IS NULL OR i.depot_id = $3)`,
      [nowAt, fleetId ?? null, depotId ?? null],
    );
    return rows.map(({ vehicleId }) => vehicleId);
  }

  /** From which day the interval of each item of a vehicle is counted, by its key; null where from nothing known. */
  baselines(tx: Tx, vehicleId: string): Promise<{ key: string; on: string | null }[]> {
    return tx.query<{ key: string; on: string | null }[]>(
      `SELECT i.item_key AS key, i.reasoning->'baseline'->>'on' AS "on" FROM due_items i WHERE i.vehicle_id = $1`,
      [vehicleId],
    );
  }

  async find(tx: Tx, id: string, nowAt: string): Promise<(DueItemRow & { reasoning: Reasoning }) | null> {
    const [row] = await tx.query<(DueItemRow & { reasoning: Reasoning })[]>(
      `SELECT ${DUE_ITEM_COLUMNS}, i.reasoning ${dueItemsAt('$2')} WHERE i.id = $1`,
      [id, nowAt],
    );
    return row ?? null;
  }

  /** One row more than `limit`, sorted by due date (items without one last) and id. */
  list(
    tx: Tx,
    filter: DueItemFilter,
    nowAt: string,
    after: { dueOn: string; id: string } | null,
    limit: number,
  ): Promise<DueItemRow[]> {
    return tx.query<DueItemRow[]>(
      `SELECT ${DUE_ITEM_COLUMNS} ${dueItemsAt('$1')}
        WHERE ($2::uuid IS NULL OR i.fleet_id = $2) AND ($3::uuid IS NULL OR i.depot_id = $3)
          AND ($4::uuid IS NULL OR i.vehicle_id = $4) AND ($5::text IS NULL OR i.task = $5)
          AND ($6::text IS NULL OR i.driver = $6) AND ($7::text[] IS NULL OR ${STATE} = ANY ($7))
          AND ($8::boolean IS NULL OR i.safety_critical = $8)
          AND ($9::date IS NULL OR i.due_on >= $9) AND ($10::date IS NULL OR i.due_on <= $10)
          AND ($14::boolean IS NULL OR (i.vehicle_id = ANY ($15::uuid[])) = $14)
          AND ($11::date IS NULL OR (COALESCE(i.due_on, '${NEVER}'), i.id) > ($11, $12::uuid))
        ORDER BY COALESCE(i.due_on, '${NEVER}'), i.id LIMIT $13`,
      [
        nowAt,
        filter.fleetId ?? null,
        filter.depotId ?? null,
        filter.vehicleId ?? null,
        filter.task ?? null,
        filter.driver ?? null,
        filter.state ?? null,
        filter.safetyCritical ?? null,
        filter.dueFrom ?? null,
        filter.dueUntil ?? null,
        after?.dueOn ?? null,
        after?.id ?? null,
        limit + 1,
        filter.held?.is ?? null,
        filter.held?.vehicleIds ?? null,
      ],
    );
  }
}
