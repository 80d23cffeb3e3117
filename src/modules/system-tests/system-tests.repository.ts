import { Injectable } from '@nestjs/common';
import { In } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import type { MainAccumulator } from '../../core/tests/system-test';
import type { RecordedTest, TestedVehicle } from './recorded-test';
import { SystemTest } from './system-test.entity';

export interface SystemTestFilter {
  task?: string;
  includeVoided?: boolean;
}

@Injectable()
export class SystemTestsRepository {
  /** The latest first; one row more than `limit`, so that the caller knows whether there is a next page. */
  list(
    tx: Tx,
    vehicleId: string,
    filter: SystemTestFilter,
    after: { doneAt: string; id: string } | null,
    limit: number,
  ): Promise<SystemTest[]> {
    const query = tx
      .createQueryBuilder(SystemTest, 's')
      .where('s.vehicleId = :vehicleId', { vehicleId })
      .orderBy('s.doneAt', 'DESC')
      .addOrderBy('s.id', 'DESC')
      .limit(limit + 1);
    if (filter.task !== undefined) query.andWhere('s.task = :task', { task: filter.task });
    if (filter.includeVoided !== true) query.andWhere('s.voidedAt IS NULL');
    if (after !== null) query.andWhere('(s.doneAt, s.id) < (:doneAt::timestamptz, :id::uuid)', after);
    return query.getMany();
  }

  find(tx: Tx, id: string): Promise<SystemTest | null> {
    return tx.findOneBy(SystemTest, { id });
  }

  create(tx: Tx, organisationId: string, test: RecordedTest): Promise<SystemTest> {
    const values = { ...test, organisationId, voidedAt: null, voidedBy: null, voidReason: null };
    return tx.save(SystemTest, tx.create(SystemTest, values));
  }

  save(tx: Tx, test: SystemTest): Promise<SystemTest> {
    return tx.save(SystemTest, test);
  }

  async vehicles(tx: Tx, vehicleIds: readonly string[]): Promise<Map<string, TestedVehicle>> {
    const rows = await tx.query<TestedVehicle[]>(
      `SELECT v.id AS "vehicleId", v.fleet_id AS "fleetId", d.zone, v.in_service_on::text AS "inServiceOn",
          p.current_version_id AS "programmeVersionId",
          (SELECT json_build_object('pumpKind', l.pump_kind, 'antiSinkValves', l.anti_sink_valves,
              'rearBrakeAccumulator', l.rear_brake_accumulator, 'steeringSupply', l.steering_supply,
              'steeringRegulator', l.steering_regulator, 'fluid', l.fluid, 'reservoirLitres', l.reservoir_litres)
            FROM hydraulic_layouts l WHERE l.organisation_id = v.organisation_id AND l.vehicle_id = v.id
              AND l.superseded_at IS NULL) AS layout
        FROM vehicles v
          JOIN depots d ON d.organisation_id = v.organisation_id AND d.id = v.depot_id
          JOIN fleets f ON f.organisation_id = v.organisation_id AND f.id = v.fleet_id
          JOIN organisations g ON g.organisation_id = v.organisation_id
          LEFT JOIN service_programmes p ON p.organisation_id = v.organisation_id
            AND p.id = COALESCE(v.service_programme_id, f.service_programme_id, g.default_service_programme_id)
        WHERE v.id = ANY ($1::uuid[])`,
      [vehicleIds],
    );
    return new Map(rows.map((row) => [row.vehicleId, row]));
  }

  /** The main accumulators that vehicles had at given moments, by place in `moments`; none is left out. */
  async mainAccumulators(
    tx: Tx,
    moments: readonly { vehicleId: string; doneAt: string }[],
  ): Promise<Map<number, MainAccumulator>> {
    const rows = await tx.query<(MainAccumulator & { place: number })[]>(
      `SELECT m.place, u.id AS "unitId", u.serial_number AS "serialNumber", y.code AS "unitTypeCode",
          y.gas_volume_cm3 AS "gasVolumeCm3", y.nominal_precharge20_bar_gauge AS "nominalPrecharge20BarGauge"
        FROM json_to_recordset($1::json) AS m (place integer, "vehicleId" uuid, "doneAt" timestamptz)
          JOIN unit_placements p ON p.vehicle_id = m."vehicleId" AND p.position = 'main-accumulator'
            AND tstzrange(p.from_at, p.until_at, '[)') @> m."doneAt"
          JOIN gas_units u ON u.organisation_id = p.organisation_id AND u.id = p.unit_id
          JOIN gas_unit_types y ON y.organisation_id = u.organisation_id AND y.id = u.unit_type_id`,
      [JSON.stringify(moments.map(({ vehicleId, doneAt }, place) => ({ place, vehicleId, doneAt })))],
    );
    return new Map(rows.map(({ place, ...unit }) => [place, unit]));
  }

  /** Tests that rows of a batch may repeat or correct, voided ones too, in the order of recording. */
  findForBatch(
    tx: Tx,
    rows: readonly { vehicleId: string; doneAt: string; externalKey?: string | null }[],
  ): Promise<SystemTest[]> {
    const vehicleIds = [...new Set(rows.map(({ vehicleId }) => vehicleId))];
    const moments = rows.map(({ doneAt }) => new Date(doneAt));
    const keys = rows.flatMap(({ externalKey }) => externalKey ?? []);
    return tx.find(SystemTest, {
      where: [{ vehicleId: In(vehicleIds), doneAt: In(moments) }, { externalKey: In(keys) }],
      order: { id: 'ASC' },
    });
  }

  /** Ids by place in `tests`; one whose key belongs to a record out of sight is left out. */
  createMany(
    tx: Tx,
    organisationId: string,
    tests: readonly RecordedTest[],
  ): Promise<{ place: number; id: string }[]> {
    return tx.query(
      `WITH incoming AS MATERIALIZED (
        SELECT uuidv7() AS id, r.* FROM (
          SELECT * FROM json_to_recordset($2::json) AS r (place integer, "vehicleId" uuid, "fleetId" uuid, task text,
            "doneAt" timestamptz, measured jsonb, limits jsonb, outcome text, "outcomeReasons" jsonb, findings jsonb,
            "ambientTemperatureC" double precision, "altitudeM" double precision, "gaugeId" uuid,
            "gaugeOverdue" boolean, "doneBy" text, note text, "externalKey" text) ORDER BY place
        ) r
      ), added AS (
        INSERT INTO system_tests (organisation_id, id, vehicle_id, fleet_id, task, done_at, measured, limits, outcome,
            outcome_reasons, findings, ambient_temperature_c, altitude_m, gauge_id, gauge_overdue, done_by, note,
            external_key)
          SELECT $1, id, "vehicleId", "fleetId", task, "doneAt", measured, limits, outcome, "outcomeReasons", findings,
            "ambientTemperatureC", "altitudeM", "gaugeId", "gaugeOverdue", "doneBy", note, "externalKey"
            FROM incoming ORDER BY place
          ON CONFLICT ON CONSTRAINT system_tests_external_key_key DO NOTHING RETURNING id
      )
      SELECT place, id FROM incoming JOIN added USING (id) ORDER BY place`,
      [organisationId, JSON.stringify(tests.map((test, place) => ({ place, ...test })))],
    );
  }

  async updateMany(tx: Tx, tests: readonly SystemTest[]): Promise<void> {
    if (tests.length === 0) return;
    await tx.query(
      `UPDATE system_tests s SET
          (task, done_at, measured, limits, outcome, outcome_reasons, findings, ambient_temperature_c, altitude_m,
            gauge_id, gauge_overdue, done_by, note, revision) =
          (r.task, r."doneAt", r.measured, r.limits, r.outcome, r."outcomeReasons", r.findings,
            r."ambientTemperatureC", r."altitudeM", r."gaugeId", r."gaugeOverdue", r."doneBy", r.note, r.revision)
        FROM json_to_recordset($1::json) AS r (id uuid, task text, "doneAt" timestamptz, measured jsonb, limits jsonb,
          outcome text, "outcomeReasons" jsonb, findings jsonb, "ambientTemperatureC" double precision,
          "altitudeM" double precision, "gaugeId" uuid, "gaugeOverdue" boolean, "doneBy" text, note text,
          revision integer)
        WHERE s.id = r.id`,
      [JSON.stringify(tests)],
    );
  }
}
