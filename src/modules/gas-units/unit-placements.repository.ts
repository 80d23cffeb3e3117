import { Injectable } from '@nestjs/common';
import type { HydraulicLayout } from '../../core/hydraulics/hydraulic-layout';
import type { Tx } from '../../platform/database/transactions';
import type { PlacementRow } from './placement-row';
import type { UnitPlacement } from './unit-placement.entity';

export type NewPlacement = Pick<
  UnitPlacement,
  | 'fleetId'
  | 'unitId'
  | 'state'
  | 'vehicleId'
  | 'position'
  | 'depotId'
  | 'awayWith'
  | 'fromAt'
  | 'untilAt'
  | 'vehicleTotalKmFrom'
  | 'vehicleTotalKmUntil'
  | 'movedBy'
  | 'note'
  | 'externalKey'
>;

export interface Seat {
  vehicleId: string;
  position: string;
}

/** A vehicle as far as the fitting of units asks. */
export interface VehicleToFit {
  id: string;
  fleetId: string;
  registrationMark: string;
  /** IANA zone of its depot */
  zone: string;
  retiredOn: string | null;
  layout: HydraulicLayout | null;
}

const PLACEMENTS = `SELECT p.id, p.unit_id AS "unitId", u.serial_number AS "serialNumber",
    t.id AS "unitTypeId", t.code AS "unitTypeCode", p.state, p.vehicle_id AS "vehicleId",
    v.registration_mark AS "registrationMark", p.position, p.depot_id AS "depotId", p.away_with AS "awayWith",
    p.from_at AS "fromAt", p.until_at AS "untilAt", p.vehicle_total_km_from AS "vehicleTotalKmFrom",
    p.vehicle_total_km_until AS "vehicleTotalKmUntil", p.moved_by AS "movedBy", p.note,
    p.external_key AS "externalKey", p.recorded_at AS "recordedAt", u.revision
  FROM unit_placements p
    JOIN gas_units u ON u.organisation_id = p.organisation_id AND u.id = p.unit_id
    JOIN gas_unit_types t ON t.organisation_id = u.organisation_id AND t.id = u.unit_type_id
    LEFT JOIN vehicles v ON v.organisation_id = p.organisation_id AND v.id = p.vehicle_id`;

@Injectable()
export class UnitPlacementsRepository {
  async find(tx: Tx, id: string): Promise<PlacementRow | null> {
    const [row] = await tx.query<PlacementRow[]>(`${PLACEMENTS} WHERE p.id = $1`, [id]);
    return row ?? null;
  }

  /** Where units are now, by unit; those whose place nobody knows are missing. */
  async present(tx: Tx, unitIds: readonly string[]): Promise<Map<string, PlacementRow>> {
    const rows = await tx.query<PlacementRow[]>(
      `${PLACEMENTS} WHERE p.unit_id = ANY ($1::uuid[]) AND p.until_at IS NULL`,
      [unitIds],
    );
    return new Map(rows.map((row) => [row.unitId, row]));
  }

  /** The last place of each unit that is on record, whether it is still there or not. */
  async latest(tx: Tx, unitIds: readonly string[]): Promise<Map<string, PlacementRow>> {
    const rows = await tx.query<PlacementRow[]>(
      `WITH last AS MATERIALIZED (SELECT DISTINCT ON (unit_id) id FROM unit_placements
          WHERE unit_id = ANY ($1::uuid[]) ORDER BY unit_id, from_at DESC)
        ${PLACEMENTS} JOIN last ON last.id = p.id`,
      [unitIds],
    );
    return new Map(rows.map((row) => [row.unitId, row]));
  }

  /** The first place of a unit that is on record. */
  async first(tx: Tx, unitId: string): Promise<PlacementRow | null> {
    const [row] = await tx.query<PlacementRow[]>(
      `${PLACEMENTS} WHERE p.unit_id = $1 ORDER BY p.from_at LIMIT 1`,
      [unitId],
    );
    return row ?? null;
  }

  /** The last two places of a unit, the latest first. */
  lastTwo(tx: Tx, unitId: string): Promise<PlacementRow[]> {
    return tx.query<PlacementRow[]>(`${PLACEMENTS} WHERE p.unit_id = $1 ORDER BY p.from_at DESC LIMIT 2`, [
      unitId,
    ]);
  }

  /** Who sits, or sat, at the seats at a moment or later. */
  holdersFrom(tx: Tx, seats: readonly Seat[], at: Date): Promise<PlacementRow[]> {
    return tx.query<PlacementRow[]>(
      `${PLACEMENTS} JOIN json_to_recordset($1::json) AS s ("vehicleId" uuid, position text)
          ON s."vehicleId" = p.vehicle_id AND s.position = p.position
        WHERE p.until_at IS NULL OR p.until_at > $2
        ORDER BY p.from_at`,
      [JSON.stringify(seats), at],
    );
  }

  /** Latest first; only the one of a moment where that is given. One row more than `limit`. */
  ofUnit(
    tx: Tx,
    unitId: string,
    at: Date | null,
    before: Date | null,
    limit: number,
  ): Promise<PlacementRow[]> {
    return tx.query<PlacementRow[]>(
      `${PLACEMENTS} WHERE p.unit_id = $1
          AND ($2::timestamptz IS NULL OR (p.from_at <= $2 AND (p.until_at IS NULL OR p.until_at > $2)))
          AND ($3::timestamptz IS NULL OR p.from_at < $3)
        ORDER BY p.from_at DESC LIMIT $4`,
      [unitId, at, before, limit + 1],
    );
  }

  /** Who was fitted to a vehicle, latest first; only at one position where that is given. */
  ofVehicle(
    tx: Tx,
    vehicleId: string,
    position: string | null,
    before: { fromAt: Date; id: string } | null,
    limit: number,
  ): Promise<PlacementRow[]> {
    return tx.query<PlacementRow[]>(
      `${PLACEMENTS} WHERE p.vehicle_id = $1 AND ($2::text IS NULL OR p.position = $2)
          AND ($3::timestamptz IS NULL OR (p.from_at, p.id) < ($3, $4::uuid))
        ORDER BY p.from_at DESC, p.id DESC LIMIT $5`,
      [vehicleId, position, before?.fromAt ?? null, before?.id ?? null, limit + 1],
    );
  }

  /** Who was fitted to a vehicle at a moment. */
  onVehicleAt(tx: Tx, vehicleId: string, at: Date): Promise<PlacementRow[]> {
    return tx.query<PlacementRow[]>(
      `${PLACEMENTS} WHERE p.vehicle_id = $1 AND p.from_at <= $2 AND (p.until_at IS NULL OR p.until_at > $2)
        ORDER BY p.position`,
      [vehicleId, at],
    );
  }

  /** Every period of the units, every one at the seats, and those that have one of the keys. */
  findForBatch(
    tx: Tx,
    unitIds: string[],
    seats: readonly Seat[],
    externalKeys: string[],
  ): Promise<PlacementRow[]> {
    return tx.query<PlacementRow[]>(
      `${PLACEMENTS} WHERE p.unit_id = ANY ($1::uuid[]) OR p.external_key = ANY ($3)
          OR (p.vehicle_id, p.position) IN (SELECT s."vehicleId", s.position
            FROM json_to_recordset($2::json) AS s ("vehicleId" uuid, position text))
        ORDER BY p.from_at`,
      [unitIds, JSON.stringify(seats), externalKeys],
    );
  }

  /** Every vehicle that the units are or were fitted to, by id. */
  async vehicleIdsOf(tx: Tx, unitIds: readonly string[]): Promise<string[]> {
    const rows = await tx.query<{ id: string }[]>(
      `SELECT DISTINCT vehicle_id AS id FROM unit_placements
        WHERE unit_id = ANY ($1::uuid[]) AND vehicle_id IS NOT NULL ORDER BY 1`,
      [unitIds],
    );
    return rows.map(({ id }) => id);
  }

  /** By id; vehicles that do not exist, or are somebody else's, are missing. */
  async vehicles(tx: Tx, vehicleIds: readonly string[]): Promise<Map<string, VehicleToFit>> {
    const rows = await tx.query<VehicleToFit[]>(
      `SELECT v.id, v.fleet_id AS "fleetId", v.registration_mark AS "registrationMark", d.zone,
          v.retired_on::text AS "retiredOn",
          (SELECT json_build_object('pumpKind', l.pump_kind, 'antiSinkValves', l.anti_sink_valves,
              'rearBrakeAccumulator', l.rear_brake_accumulator, 'steeringSupply', l.steering_supply,
              'steeringRegulator', l.steering_regulator, 'fluid', l.fluid, 'reservoirLitres', l.reservoir_litres)
            FROM hydraulic_layouts l WHERE l.organisation_id = v.organisation_id AND l.vehicle_id = v.id
              AND l.superseded_at IS NULL) AS layout
        FROM vehicles v JOIN depots d ON d.organisation_id = v.organisation_id AND d.id = v.depot_id
        WHERE v.id = ANY ($1::uuid[])`,
      [vehicleIds],
    );
    return new Map(rows.map((row) => [row.id, row]));
  }

  async existingDepots(tx: Tx, depotIds: readonly string[]): Promise<Set<string>> {
    if (depotIds.length === 0) return new Set();
    const rows = await tx.query<{ id: string }[]>(`SELECT id FROM depots WHERE id = ANY ($1::uuid[])`, [
      depotIds,
    ]);
    return new Set(rows.map(({ id }) => id));
  }

  /** The earliest test or charge of a unit since a moment that says it was somewhere else than at the seat. */
  async eventElsewhere(
    tx: Tx,
    unitId: string,
    since: Date,
    seat: Pick<PlacementRow, 'vehicleId' | 'position'>,
  ): Promise<{ doneAt: Date } | null> {
    const [row] = await tx.query<{ doneAt: Date }[]>(
      `SELECT done_at AS "doneAt" FROM gas_unit_events
        WHERE unit_id = $1 AND done_at >= $2 AND voided_at IS NULL
          AND (vehicle_id IS DISTINCT FROM $3::uuid OR position IS DISTINCT FROM $4)
        ORDER BY done_at LIMIT 1`,
      [unitId, since, seat.vehicleId, seat.position],
    );
    return row ?? null;
  }

  /** Ends periods. */
  async close(
    tx: Tx,
    closings: readonly { id: string; untilAt: Date; vehicleTotalKmUntil: number | null }[],
  ): Promise<void> {
    if (closings.length === 0) return;
    await tx.query(
      `UPDATE unit_placements p SET (until_at, vehicle_total_km_until) = (r."untilAt", r."vehicleTotalKmUntil")
        FROM json_to_recordset($1::json) AS r (id uuid, "untilAt" timestamptz, "vehicleTotalKmUntil" double precision)
        WHERE p.id = r.id`,
      [JSON.stringify(closings)],
    );
  }

  async reopen(tx: Tx, id: string): Promise<void> {
    await tx.query(
      `UPDATE unit_placements SET until_at = NULL, vehicle_total_km_until = NULL WHERE id = $1`,
      [id],
    );
  }

  /** Ids by place in `rows`; a row whose key belongs to a record out of sight is left out. */
  open(
    tx: Tx,
    organisationId: string,
    rows: readonly NewPlacement[],
  ): Promise<{ place: number; id: string }[]> {
    return tx.query<{ place: number; id: string }[]>(
      `WITH incoming AS MATERIALIZED (
        SELECT uuidv7() AS id, r.* FROM json_to_recordset($2::json) AS r (place integer, "fleetId" uuid,
          "unitId" uuid, state text, "vehicleId" uuid, position text, "depotId" uuid, "awayWith" text,
          "fromAt" timestamptz, "untilAt" timestamptz, "vehicleTotalKmFrom" double precision,
          "vehicleTotalKmUntil" double precision, "movedBy" text, note text, "externalKey" text)
      ), added AS (
        INSERT INTO unit_placements (organisation_id, id, fleet_id, unit_id, state, vehicle_id, position, depot_id,
            away_with, from_at, until_at, vehicle_total_km_from, vehicle_total_km_until, moved_by, note, external_key)
          SELECT $1, id, "fleetId", "unitId", state, "vehicleId", position, "depotId", "awayWith", "fromAt",
              "untilAt", "vehicleTotalKmFrom", "vehicleTotalKmUntil", "movedBy", note, "externalKey" FROM incoming
          ON CONFLICT ON CONSTRAINT unit_placements_external_key_key DO NOTHING RETURNING id
      )
      SELECT place, id FROM incoming JOIN added USING (id) ORDER BY place`,
      [organisationId, JSON.stringify(rows.map((row, place) => ({ place, ...row })))],
    );
  }

  /** Writes what a later file knew better of periods on record. */
  async updateMany(tx: Tx, rows: readonly PlacementRow[]): Promise<void> {
    if (rows.length === 0) return;
    await tx.query(
      `UPDATE unit_placements p SET (until_at, vehicle_total_km_from, vehicle_total_km_until, note) =
          (r."untilAt", r."vehicleTotalKmFrom", r."vehicleTotalKmUntil", r.note)
        FROM json_to_recordset($1::json) AS r (id uuid, "untilAt" timestamptz, "vehicleTotalKmFrom" double precision,
          "vehicleTotalKmUntil" double precision, note text)
        WHERE p.id = r.id`,
      [JSON.stringify(rows)],
    );
  }

  async delete(tx: Tx, id: string): Promise<void> {
    await tx.query(`DELETE FROM unit_placements WHERE id = $1`, [id]);
  }
}
