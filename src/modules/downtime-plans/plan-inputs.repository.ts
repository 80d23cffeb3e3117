import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import type { DepotRow, OwedItem, PlanVehicleRow, StandingBooking } from './plan-inputs';

const OWED = `SELECT i.vehicle_id AS "vehicleId", i.item_key AS key, i.details->>'cycle' AS cycle, i.task,
    i.details->>'title' AS title, i.position, i.safety_critical AS "safetyCritical",
    LEAST(i.early_on, i.due_on)::text AS "earlyOn", i.due_on::text AS "dueOn",
    GREATEST(i.late_on, i.due_on)::text AS "lateOn", i.reasoning->'baseline'->>'on' AS "baselineOn",
    (i.details->>'labourMinutes')::integer AS "labourMinutes",
    i.details->'competences' AS competences, i.details->>'bayKind' AS "bayKind",
    i.details->'doBefore' AS "doBefore", i.details->'satisfies' AS satisfies
  FROM due_items i`;

const STANDING = `SELECT b.id, b.vehicle_id AS "vehicleId", b.workshop_id AS "workshopId",
    (extract(epoch FROM b.starts_at) * 1000)::float8 AS "startsAt",
    (extract(epoch FROM b.bay_from_at) * 1000)::float8 AS "fromAt",
    (extract(epoch FROM b.bay_until_at) * 1000)::float8 AS "untilAt", b.work->'items' AS items
  FROM bookings b`;
// a vehicle that is there longer than was planned is still there; one that never came has missed its time
const STILL_STANDS = `(b.state IN ('arrived', 'in-work') OR b.bay_until_at > $1 AND (b.state = 'confirmed'
  OR b.state = 'provisional' AND b.provisional_until > clock_timestamp()))`;

@Injectable()
export class PlanInputsRepository {
  depots(tx: Tx, fleetId: string, depotIds: readonly string[] | null): Promise<DepotRow[]> {
    return tx.query<DepotRow[]>(
      `SELECT d.id, d.name, d.zone FROM depots d
        WHERE d.fleet_id = $1 AND ($2::uuid[] IS NULL OR d.id = ANY ($2::uuid[])) ORDER BY d.name, d.id`,
      [fleetId, depotIds],
    );
  }

  /** Vehicles of depots that are in use on a day. */
  vehicles(tx: Tx, depotIds: readonly string[], on: string): Promise<PlanVehicleRow[]> {
    return tx.query<PlanVehicleRow[]>(
      `SELECT v.id, v.depot_id AS "depotId", v.registration_mark AS "registrationMark", v.fleet_number AS "fleetNumber"
        FROM vehicles v
        WHERE v.depot_id = ANY ($1::uuid[]) AND (v.retired_on IS NULL OR v.retired_on > $2) ORDER BY v.id`,
      [depotIds, on],
    );
  }

  /** What the vehicles of depots owe before a day. */
  items(tx: Tx, depotIds: readonly string[], untilOn: string): Promise<OwedItem[]> {
    return tx.query<OwedItem[]>(
      `${OWED} WHERE i.depot_id = ANY ($1::uuid[]) AND i.due_on < $2 ORDER BY i.vehicle_id, i.item_key`,
      [depotIds, untilOn],
    );
  }

  itemsOfVehicle(tx: Tx, vehicleId: string): Promise<OwedItem[]> {
    return tx.query<OwedItem[]>(
      `${OWED} WHERE i.vehicle_id = $1 AND i.due_on IS NOT NULL ORDER BY i.item_key`,
      [vehicleId],
    );
  }

  /**
   * Bookings of the vehicles of depots that still stand, or run, whenever that is: work that is booked for before a plan
   * begins, or after it ends, is not to be planned again.
   */
  bookings(tx: Tx, depotIds: readonly string[], now: Date): Promise<StandingBooking[]> {
    return tx.query<StandingBooking[]>(
      `${STANDING} JOIN vehicles v ON v.organisation_id = b.organisation_id AND v.id = b.vehicle_id
        WHERE v.depot_id = ANY ($2::uuid[]) AND ${STILL_STANDS} ORDER BY b.starts_at, b.id`,
      [now, depotIds],
    );
  }

  bookingsOfVehicle(tx: Tx, vehicleId: string, now: Date): Promise<StandingBooking[]> {
    return tx.query<StandingBooking[]>(
      `${STANDING} WHERE b.vehicle_id = $2 AND ${STILL_STANDS} ORDER BY b.starts_at, b.id`,
      [now, vehicleId],
    );
  }

  knownVehicles(tx: Tx, depotIds: readonly string[], ids: readonly string[]): Promise<string[]> {
    return idsOf(tx, 'SELECT id FROM vehicles WHERE depot_id = ANY ($2::uuid[]) AND id = ANY ($1::uuid[])', [
      ids,
      depotIds,
    ]);
  }

  knownWorkshops(tx: Tx, ids: readonly string[]): Promise<string[]> {
    return idsOf(tx, 'SELECT id FROM workshops WHERE id = ANY ($1::uuid[])', [ids]);
  }

  knownBays(tx: Tx, ids: readonly string[]): Promise<string[]> {
    return idsOf(tx, 'SELECT id FROM bays WHERE id = ANY ($1::uuid[])', [ids]);
  }
}

async function idsOf(tx: Tx, sql: string, parameters: [readonly string[], ...unknown[]]): Promise<string[]> {
  if (parameters[0].length === 0) return [];
  return (await tx.query<{ id: string }[]>(sql, parameters)).map(({ id }) => id);
}
