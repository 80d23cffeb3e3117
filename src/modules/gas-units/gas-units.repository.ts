import { Injectable } from '@nestjs/common';
import type { UnitPlacementState, UnitRole } from '../../core/hydraulics/unit-positions';
import type { Tx } from '../../platform/database/transactions';
import { GasUnit } from './gas-unit.entity';

/** A unit as it is read, with the code of its type. */
export interface GasUnitRow {
  id: string;
  fleetId: string;
  unitTypeId: string;
  unitTypeCode: string;
  externalKey: string | null;
  serialNumber: string;
  madeOn: string | null;
  note: string | null;
  revision: number;
  createdAt: Date;
  updatedAt: Date;
}

/** A unit that is about to be moved. */
export interface UnitToMove {
  id: string;
  fleetId: string;
  serialNumber: string;
  madeOn: string | null;
  unitTypeCode: string;
  roles: UnitRole[];
}

export interface GasUnitFilter {
  /** `unknown`: nobody recorded where it is */
  state?: UnitPlacementState | 'unknown';
  depotId?: string;
  fleetId?: string;
  vehicleId?: string;
  unitTypeId?: string;
  /** how it begins */
  serialNumber?: string;
  /** any part of it */
  search?: string;
}

export type NewGasUnit = Pick<
  GasUnit,
  'organisationId' | 'fleetId' | 'unitTypeId' | 'externalKey' | 'serialNumber' | 'madeOn' | 'note'
>;

export interface StockRow {
  depotId: string | null;
  depotName: string | null;
  unitTypeId: string;
  unitTypeCode: string;
  state: UnitPlacementState | 'unknown';
  count: number;
}

const UNITS = `SELECT u.id, u.fleet_id AS "fleetId", u.unit_type_id AS "unitTypeId", t.code AS "unitTypeCode",
    u.external_key AS "externalKey", u.serial_number AS "serialNumber", u.made_on::text AS "madeOn", u.note,
    u.revision, u.created_at AS "createdAt", u.updated_at AS "updatedAt"
  FROM gas_units u
    JOIN gas_unit_types t ON t.organisation_id = u.organisation_id AND t.id = u.unit_type_id`;

const PLACE_NOW = `LEFT JOIN unit_placements p
  ON p.organisation_id = u.organisation_id AND p.unit_id = u.id AND p.until_at IS NULL`;

/** As a pattern that means nothing but itself. */
const literally = (text: string): string => text.replace(/[\\%_]/g, '\\$&');

@Injectable()
export class GasUnitsRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, filter: GasUnitFilter, afterId: string | null, limit: number): Promise<GasUnitRow[]> {
    const prefix = filter.serialNumber === undefined ? null : `${literally(filter.serialNumber)}%`;
    const part =
      filter.search === undefined ? null : `%${literally(filter.search.replace(/\s+/g, '').toUpperCase())}%`;
    return tx.query<GasUnitRow[]>(
      `${UNITS} ${PLACE_NOW}
        WHERE ($1::text IS NULL OR COALESCE(p.state, 'unknown') = $1) AND ($2::uuid IS NULL OR p.depot_id = $2)
          AND ($3::uuid IS NULL OR u.fleet_id = $3) AND ($4::uuid IS NULL OR p.vehicle_id = $4)
          AND ($5::uuid IS NULL OR u.unit_type_id = $5) AND ($6::text IS NULL OR u.serial_number LIKE $6)
          AND ($7::text IS NULL OR replace(u.serial_number, ' ', '') LIKE $7)
          AND ($8::uuid IS NULL OR u.id > $8)
        ORDER BY u.id LIMIT $9`,
      [
        filter.state ?? null,
        filter.depotId ?? null,
        filter.fleetId ?? null,
        filter.vehicleId ?? null,
        filter.unitTypeId ?? null,
        prefix,
        part,
        afterId,
        limit + 1,
      ],
    );
  }

  async find(tx: Tx, id: string): Promise<GasUnitRow | null> {
    const [row] = await tx.query<GasUnitRow[]>(`${UNITS} WHERE u.id = $1`, [id]);
    return row ?? null;
  }

  lock(tx: Tx, id: string): Promise<GasUnit | null> {
    return tx.findOne(GasUnit, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  /**
   * Takes units for the transaction, after the vehicles, in the order in which every move takes them; their types
   * are held as they are.
   */
  lockForMove(tx: Tx, ids: readonly string[]): Promise<UnitToMove[]> {
    return tx.query<UnitToMove[]>(
      `SELECT u.id, u.fleet_id AS "fleetId", u.serial_number AS "serialNumber", u.made_on::text AS "madeOn",
          t.code AS "unitTypeCode", t.roles
        FROM gas_units u
          JOIN gas_unit_types t ON t.organisation_id = u.organisation_id AND t.id = u.unit_type_id
        WHERE u.id = ANY ($1::uuid[]) ORDER BY u.id FOR UPDATE OF u FOR SHARE OF t`,
      [ids],
    );
  }

  /** Units with one of the keys, or with one of the serial numbers. */
  findForBatch(tx: Tx, externalKeys: string[], serialNumbers: string[]): Promise<GasUnitRow[]> {
    return tx.query<GasUnitRow[]>(
      `${UNITS} WHERE u.external_key = ANY ($1) OR u.serial_number = ANY ($2) ORDER BY u.id FOR UPDATE OF u`,
      [externalKeys, serialNumbers],
    );
  }

  findByExternalKeys(tx: Tx, externalKeys: readonly string[]): Promise<GasUnitRow[]> {
    return tx.query<GasUnitRow[]>(`${UNITS} WHERE u.external_key = ANY ($1)`, [externalKeys]);
  }

  async existingFleets(tx: Tx, fleetIds: string[]): Promise<Set<string>> {
    const rows = await tx.query<{ id: string }[]>(`SELECT id FROM fleets WHERE id = ANY ($1::uuid[])`, [
      fleetIds,
    ]);
    return new Set(rows.map(({ id }) => id));
  }

  save(tx: Tx, unit: GasUnit): Promise<GasUnit> {
    return tx.save(GasUnit, unit);
  }

  create(tx: Tx, values: NewGasUnit): Promise<GasUnit> {
    return tx.save(GasUnit, tx.create(GasUnit, values));
  }

  /** Counts a move as a change of its unit, and hands the unit to the fleet where it is now. */
  async moved(tx: Tx, units: readonly { id: string; fleetId: string }[]): Promise<void> {
    await tx.query(
      `UPDATE gas_units u SET fleet_id = r."fleetId", revision = u.revision + 1, updated_at = now()
        FROM json_to_recordset($1::json) AS r (id uuid, "fleetId" uuid) WHERE u.id = r.id`,
      [JSON.stringify(units)],
    );
  }

  /** Ids by place in `rows`; a row whose key or serial number belongs to a unit out of sight is left out. */
  createMany(
    tx: Tx,
    organisationId: string,
    rows: readonly Omit<NewGasUnit, 'organisationId'>[],
  ): Promise<{ place: number; id: string }[]> {
    return tx.query<{ place: number; id: string }[]>(
      `WITH incoming AS MATERIALIZED (
        SELECT uuidv7() AS id, r.* FROM json_to_recordset($2::json) AS r (place integer, "fleetId" uuid,
          "unitTypeId" uuid, "externalKey" text, "serialNumber" text, "madeOn" date, note text)
      ), added AS (
        INSERT INTO gas_units (organisation_id, id, fleet_id, unit_type_id, external_key, serial_number, made_on, note)
          SELECT $1, id, "fleetId", "unitTypeId", "externalKey", "serialNumber", "madeOn", note FROM incoming
          ON CONFLICT DO NOTHING RETURNING id
      )
      SELECT place, id FROM incoming JOIN added USING (id) ORDER BY place`,
      [organisationId, JSON.stringify(rows.map((row, place) => ({ place, ...row })))],
    );
  }

  async updateMany(tx: Tx, rows: readonly GasUnitRow[]): Promise<void> {
    if (rows.length === 0) return;
    await tx.query(
      `UPDATE gas_units u SET (serial_number, made_on, note, external_key, revision, updated_at) =
          (r."serialNumber", r."madeOn", r.note, r."externalKey", r.revision, now())
        FROM json_to_recordset($1::json) AS r (id uuid, "serialNumber" text, "madeOn" date, note text,
          "externalKey" text, revision integer)
        WHERE u.id = r.id`,
      [JSON.stringify(rows)],
    );
  }

  /** By depot, type and state: fitted units count where their vehicle belongs. */
  stock(tx: Tx, filter: Pick<GasUnitFilter, 'fleetId' | 'depotId' | 'unitTypeId'>): Promise<StockRow[]> {
    return tx.query<StockRow[]>(
      `SELECT d.id AS "depotId", d.name AS "depotName", t.id AS "unitTypeId", t.code AS "unitTypeCode",
          COALESCE(p.state, 'unknown') AS state, count(*)::integer AS count
        FROM gas_units u
          JOIN gas_unit_types t ON t.organisation_id = u.organisation_id AND t.id = u.unit_type_id
          ${PLACE_NOW}
          LEFT JOIN vehicles v ON v.organisation_id = u.organisation_id AND v.id = p.vehicle_id
          LEFT JOIN depots d ON d.organisation_id = u.organisation_id AND d.id = COALESCE(p.depot_id, v.depot_id)
        WHERE ($1::uuid IS NULL OR u.fleet_id = $1) AND ($2::uuid IS NULL OR d.id = $2)
          AND ($3::uuid IS NULL OR t.id = $3)
        GROUP BY d.id, d.name, t.id, t.code, 5 ORDER BY d.name NULLS LAST, d.id, t.code, 5`,
      [filter.fleetId ?? null, filter.depotId ?? null, filter.unitTypeId ?? null],
    );
  }
}
