import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import type { DueItemRow } from './due-item-row';
import { DUE_ITEM_COLUMNS, dueItemsAt, STATE } from './due-items.repository';

/** A due item that is due or overdue today. */
export type StandingItem = DueItemRow & { state: 'due' | 'overdue' };

/** One state of one due item in one of its cycles, or of the vehicle itself. */
export interface AnnouncedKey {
  vehicleId: string;
  fleetId: string;
  item: string;
  state: 'due' | 'overdue' | 'on-hold';
}

/** The vehicle itself, beside its due items. */
export const VEHICLE = 'vehicle';

/** What names a piece of work once and for all, here as in the reasons of holds. */
export const itemOf = ({ details }: Pick<DueItemRow, 'details'>): string => `${details.key}:${details.cycle}`;
const ITEM = `i.item_key || ':' || (i.details->>'cycle')`;

// The date one day ahead of UTC is at or past today in every zone: so the index over due dates leaves few items.
const REACHED = `i.due_on <= ($1::timestamptz AT TIME ZONE 'UTC')::date + 1 AND ${STATE} IN ('due', 'overdue')`;
const UNANNOUNCED = `NOT EXISTS (SELECT FROM announced_states a WHERE a.organisation_id = i.organisation_id
  AND a.vehicle_id = i.vehicle_id AND a.item = ${ITEM} AND a.state = ${STATE})`;

@Injectable()
export class AnnouncedStatesRepository {
  /** Some vehicles with an item whose state today has not been told of, by id. */
  async vehiclesWithNews(tx: Tx, nowAt: string, limit: number): Promise<string[]> {
    const rows = await tx.query<{ id: string }[]>(
      `SELECT DISTINCT i.vehicle_id AS id ${dueItemsAt('$1')} WHERE ${REACHED} AND ${UNANNOUNCED} ORDER BY 1 LIMIT $2`,
      [nowAt, limit],
    );
    return rows.map(({ id }) => id);
  }

  /** The items of vehicles that are due or overdue today, the longest due first. */
  standing(tx: Tx, vehicleIds: readonly string[], nowAt: string): Promise<StandingItem[]> {
    return tx.query<StandingItem[]>(
      `SELECT ${DUE_ITEM_COLUMNS} ${dueItemsAt('$1')} WHERE ${REACHED} AND i.vehicle_id = ANY ($2::uuid[])
        ORDER BY i.vehicle_id, i.due_on, i.item_key`,
      [nowAt, vehicleIds],
    );
  }

  /** Notes states as told of; answers those that nobody had told of before. */
  add(tx: Tx, organisationId: string, keys: readonly AnnouncedKey[]): Promise<AnnouncedKey[]> {
    return tx.query<AnnouncedKey[]>(
      `INSERT INTO announced_states (organisation_id, vehicle_id, fleet_id, item, state)
        SELECT $1, "vehicleId", "fleetId", item, state FROM jsonb_to_recordset($2::jsonb)
            AS n ("vehicleId" uuid, "fleetId" uuid, item text, state text)
        ON CONFLICT DO NOTHING
        RETURNING vehicle_id AS "vehicleId", fleet_id AS "fleetId", item, state`,
      [organisationId, JSON.stringify(keys)],
    );
  }

  /** Forgets items that are owed no more in the cycle that was told of. */
  async removeSettled(tx: Tx): Promise<void> {
    await tx.query(
      `DELETE FROM announced_states a WHERE a.item <> $1 AND NOT EXISTS (
        SELECT FROM due_items i WHERE i.organisation_id = a.organisation_id AND i.vehicle_id = a.vehicle_id
          AND ${ITEM} = a.item)`,
      [VEHICLE],
    );
  }

  /** Vehicles that are on hold as far as it has been told. */
  async heldVehicles(tx: Tx): Promise<string[]> {
    const rows = await tx.query<{ id: string }[]>(
      `SELECT vehicle_id AS id FROM announced_states WHERE item = $1 ORDER BY vehicle_id`,
      [VEHICLE],
    );
    return rows.map(({ id }) => id);
  }

  /** Notes that vehicles are told of as on hold no more; answers those that were. */
  async release(tx: Tx, vehicleIds: readonly string[]): Promise<string[]> {
    const [rows] = await tx.query<[{ id: string }[], number]>(
      `DELETE FROM announced_states WHERE item = $1 AND vehicle_id = ANY ($2::uuid[]) RETURNING vehicle_id AS id`,
      [VEHICLE, vehicleIds],
    );
    return rows.map(({ id }) => id);
  }
}
