import { Injectable } from '@nestjs/common';
import { In } from 'typeorm';
import type { PrechargeObservationKind } from '../../core/precharge/precharge-model';
import type { Tx } from '../../platform/database/transactions';
import { GasUnitEvent } from './gas-unit-event.entity';
import type { MeasuredEvent } from './measured-event';
import type { MeasuredUnit } from './measured-unit';

export interface GasUnitEventFilter {
  kind?: PrechargeObservationKind;
  includeVoided?: boolean;
}

const MILLISECONDS = (expression: string): string => `(extract(epoch FROM ${expression}) * 1000)::bigint`;

@Injectable()
export class GasUnitEventsRepository {
  /** The latest first; one row more than `limit`, so that the caller knows whether there is a next page. */
  list(
    tx: Tx,
    unitId: string,
    filter: GasUnitEventFilter,
    after: { doneAt: string; id: string } | null,
    limit: number,
  ): Promise<GasUnitEvent[]> {
    const query = tx
      .createQueryBuilder(GasUnitEvent, 'e')
      .where('e.unitId = :unitId', { unitId })
      .orderBy('e.doneAt', 'DESC')
      .addOrderBy('e.id', 'DESC')
      .limit(limit + 1);
    if (filter.kind !== undefined) query.andWhere('e.kind = :kind', { kind: filter.kind });
    if (filter.includeVoided !== true) query.andWhere('e.voidedAt IS NULL');
    if (after !== null) query.andWhere('(e.doneAt, e.id) < (:doneAt::timestamptz, :id::uuid)', after);
    return query.getMany();
  }

  find(tx: Tx, id: string): Promise<GasUnitEvent | null> {
    return tx.findOneBy(GasUnitEvent, { id });
  }

  /** What counts of a unit, earliest first. */
  standing(tx: Tx, unitId: string): Promise<GasUnitEvent[]> {
    return tx
      .createQueryBuilder(GasUnitEvent, 'e')
      .where('e.unitId = :unitId AND e.voidedAt IS NULL', { unitId })
      .orderBy('e.doneAt')
      .addOrderBy('e.id')
      .getMany();
  }

  /**
   * Takes the units for the transaction: whoever wants to move one has to wait, and this transaction sees where those
   * who came before put them.
   */
  async lockUnits(tx: Tx, unitIds: readonly string[]): Promise<void> {
    await tx.query(`SELECT id FROM gas_units WHERE id = ANY ($1::uuid[]) ORDER BY id FOR UPDATE`, [unitIds]);
  }

  async units(tx: Tx, unitIds: readonly string[]): Promise<Map<string, MeasuredUnit>> {
    const rows = await tx.query<MeasuredUnit[]>(
      `SELECT u.id AS "unitId", u.fleet_id AS "fleetId", u.serial_number AS "serialNumber", y.id AS "typeId",
          y.code AS "typeCode", y.nominal_precharge20_bar_gauge AS "nominal20BarGauge", u.made_on::text AS "madeOn",
          COALESCE(last.zone, 'UTC') AS zone,
          COALESCE((SELECT json_agg(json_build_object('state', p.state, 'vehicleId', p.vehicle_id,
              'registrationMark', v.registration_mark, 'position', p.position, 'depotName', d.name,
              'fromAt', ${MILLISECONDS('p.from_at')}, 'untilAt', ${MILLISECONDS('p.until_at')}) ORDER BY p.from_at)
            FROM unit_placements p
              LEFT JOIN vehicles v ON v.organisation_id = p.organisation_id AND v.id = p.vehicle_id
              LEFT JOIN depots d ON d.organisation_id = p.organisation_id AND d.id = p.depot_id
            WHERE p.organisation_id = u.organisation_id AND p.unit_id = u.id), '[]') AS placements
        FROM gas_units u
          JOIN gas_unit_types y ON y.organisation_id = u.organisation_id AND y.id = u.unit_type_id
          LEFT JOIN LATERAL (
            SELECT d.zone FROM unit_placements p
              LEFT JOIN vehicles v ON v.organisation_id = p.organisation_id AND v.id = p.vehicle_id
              JOIN depots d ON d.organisation_id = p.organisation_id AND d.id = COALESCE(v.depot_id, p.depot_id)
            WHERE p.organisation_id = u.organisation_id AND p.unit_id = u.id ORDER BY p.from_at DESC LIMIT 1
          ) last ON true
        WHERE u.id = ANY ($1::uuid[])`,
      [unitIds],
    );
    return new Map(rows.map((row) => [row.unitId, row]));
  }

  create(
    tx: Tx,
    values: MeasuredEvent & Pick<GasUnitEvent, 'organisationId' | 'fleetId'>,
  ): Promise<GasUnitEvent> {
    return tx.save(
      GasUnitEvent,
      tx.create(GasUnitEvent, { ...values, voidedAt: null, voidedBy: null, voidReason: null }),
    );
  }

  save(tx: Tx, event: GasUnitEvent): Promise<GasUnitEvent> {
    return tx.save(GasUnitEvent, event);
  }

  /** Records that rows of a batch may repeat or correct, voided ones too, in the order of recording. */
  findForBatch(tx: Tx, rows: readonly MeasuredEvent[]): Promise<GasUnitEvent[]> {
    const unitIds = [...new Set(rows.map(({ unitId }) => unitId))];
    const moments = [...new Set(rows.map(({ doneAt }) => doneAt.getTime()))].map((at) => new Date(at));
    const keys = rows.flatMap(({ externalKey }) => externalKey ?? []);
    return tx.find(GasUnitEvent, {
      where: [{ unitId: In(unitIds), doneAt: In(moments) }, { externalKey: In(keys) }],
      order: { id: 'ASC' },
    });
  }

  /** Ids by place in `rows`; a row whose key belongs to a record out of sight is left out. */
  createMany(
    tx: Tx,
    organisationId: string,
    rows: (MeasuredEvent & { fleetId: string })[],
  ): Promise<{ place: number; id: string }[]> {
    // ids in the order of the rows: of two events at one moment the one with the greater id came later
    return tx.query(
      `WITH incoming AS MATERIALIZED (
        SELECT uuidv7() AS id, r.* FROM (
          SELECT * FROM json_to_recordset($2::json) AS r (place integer, "unitId" uuid, "fleetId" uuid, ${ROW})
            ORDER BY place
        ) r
      ), added AS (
        INSERT INTO gas_unit_events (organisation_id, id, unit_id, fleet_id, ${COLUMNS})
          SELECT $1, id, "unitId", "fleetId", ${FIELDS} FROM incoming r ORDER BY place
          ON CONFLICT ON CONSTRAINT gas_unit_events_external_key_key DO NOTHING RETURNING id
      )
      SELECT place, id FROM incoming JOIN added USING (id) ORDER BY place`,
      [organisationId, JSON.stringify(rows.map((row, place) => ({ place, ...row })))],
    );
  }

  async updateMany(tx: Tx, events: readonly GasUnitEvent[]): Promise<void> {
    if (events.length === 0) return;
    await tx.query(
      `UPDATE gas_unit_events e SET (${COLUMNS}, revision) = (${FIELDS}, r.revision)
        FROM json_to_recordset($1::json) AS r (id uuid, revision integer, ${ROW}) WHERE e.id = r.id`,
      [JSON.stringify(events)],
    );
  }
}

const TYPES: readonly (readonly [field: string, type: string])[] = [
  ['vehicleId', 'uuid'],
  ['position', 'text'],
  ['kind', 'text'],
  ['doneAt', 'timestamptz'],
  ['pressureBarGauge', 'double precision'],
  ['gasTemperatureC', 'double precision'],
  ['ambientBar', 'double precision'],
  ['altitudeM', 'double precision'],
  ['precharge20BarGauge', 'double precision'],
  ['idealPrecharge20BarGauge', 'double precision'],
  ['outcome', 'text'],
  ['outcomeReasons', 'jsonb'],
  ['limits', 'jsonb'],
  ['gaugeId', 'uuid'],
  ['gaugeOverdue', 'boolean'],
  ['doneBy', 'text'],
  ['note', 'text'],
  ['externalKey', 'text'],
];
const ROW = TYPES.map(([field, type]) => `"${field}" ${type}`).join(', ');
const FIELDS = TYPES.map(([field]) => `r."${field}"`).join(', ');
const COLUMNS = TYPES.map(([field]) => field.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`)).join(
  ', ',
);
