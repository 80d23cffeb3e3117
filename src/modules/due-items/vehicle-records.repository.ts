import { Injectable } from '@nestjs/common';
import type { UsageModel } from '../../core/usage/usage-model';
import type { Tx } from '../../platform/database/transactions';
import type { UsageModelRecord } from '../usage-models/usage-model-record.entity';
import type {
  Meter,
  VehicleRecords,
  UnitRecord,
  StoredProgrammeVersion,
  StoredUsageModel,
  VehicleFilter,
} from './vehicle-records';

const MILLISECONDS = (expression: string): string => `(extract(epoch FROM ${expression}) * 1000)::bigint`;
const DAY = (expression: string): string => `(${expression} - DATE '1970-01-01')`;

// Put together as text: building each entry as JSON takes Postgres several times as long, and a vehicle has
// hundreds of readings. None of their parts needs escaping.
const JSON_LIST = (entry: string, order: string): string =>
  `('[' || string_agg(${entry}, ',' ORDER BY ${order}) || ']')::json`;

/**
 * Reads across the tables that due items are computed from. Set-based: one statement for one vehicle or for
 * a thousand.
 */
@Injectable()
export class VehicleRecordsRepository {
  /**
   * Takes the vehicles for this transaction, in the order of their ids, so that two writes about one vehicle
   * follow each other and each computes from what the other left. Answers those that exist.
   */
  async lock(tx: Tx, vehicleIds: readonly string[]): Promise<string[]> {
    const rows = await tx.query<{ id: string }[]>(
      `SELECT id FROM vehicles WHERE id = ANY ($1::uuid[]) ORDER BY id FOR NO KEY UPDATE`,
      [vehicleIds],
    );
    return rows.map(({ id }) => id);
  }

  async load(tx: Tx, vehicleIds: readonly string[]): Promise<VehicleRecords[]> {
    const [vehicles, units] = await Promise.all([
      this.vehicles(tx, vehicleIds),
      this.fittedUnits(tx, vehicleIds),
    ]);
    const byVehicle = new Map<string, UnitRecord[]>();
    for (const { vehicleId, ...unit } of units) {
      const ofVehicle = byVehicle.get(vehicleId);
      if (ofVehicle === undefined) byVehicle.set(vehicleId, [unit]);
      else ofVehicle.push(unit);
    }
    return vehicles.map((vehicle) => ({ ...vehicle, units: byVehicle.get(vehicle.vehicleId) ?? [] }));
  }

  private vehicles(tx: Tx, vehicleIds: readonly string[]): Promise<Omit<VehicleRecords, 'units'>[]> {
    return tx.query<Omit<VehicleRecords, 'units'>[]>(
      `SELECT v.id AS "vehicleId", v.fleet_id AS "fleetId", v.depot_id AS "depotId", d.zone,
        v.odometer_unit AS "odometerUnit", v.retired_on::text AS "retiredOn", v.duty_class AS "dutyClass", v.in_service_on::text AS "inServiceOn",
        v.in_service_odometer_km AS "inServiceOdometerKm", v.in_service_engine_hours AS "inServiceEngineHours",
        v.stated_yearly_distance_km AS "statedYearlyDistanceKm", p.current_version_id AS "programmeVersionId",
        (SELECT json_build_object('pumpKind', l.pump_kind, 'antiSinkValves', l.anti_sink_valves,
            'rearBrakeAccumulator', l.rear_brake_accumulator, 'steeringSupply', l.steering_supply,
            'steeringRegulator', l.steering_regulator, 'fluid', l.fluid, 'reservoirLitres', l.reservoir_litres)
          FROM hydraulic_layouts l WHERE l.organisation_id = v.organisation_id AND l.vehicle_id = v.id
            AND l.superseded_at IS NULL) AS layout,
        (SELECT ${JSON_LIST(`'[' || ${DAY('(r.read_at AT TIME ZONE d.zone)::date')} || ',' || r.value || ',"' || r.unit || '","' || r.meter || '",' || ${MILLISECONDS('r.read_at')} || ']'`, 'r.read_at, r.id')}
          FROM odometer_readings r WHERE r.organisation_id = v.organisation_id AND r.vehicle_id = v.id
            AND r.state = 'accepted') AS readings,
        (SELECT json_agg(json_build_object('meter', c.meter, 'at', ${MILLISECONDS('c.replaced_at')}, 'day', ${DAY('(c.replaced_at AT TIME ZONE d.zone)::date')},
            'oldFinalValue', c.old_final_value, 'oldUnit', c.old_unit, 'newInitialValue', c.new_initial_value,
            'newUnit', c.new_unit) ORDER BY c.replaced_at, c.id)
          FROM odometer_replacements c WHERE c.organisation_id = v.organisation_id AND c.vehicle_id = v.id) AS replacements,
        (SELECT json_agg(json_build_array(${DAY('u.from_on')}, u.duty_class) ORDER BY u.from_on)
          FROM duty_changes u WHERE u.organisation_id = v.organisation_id AND u.vehicle_id = v.id) AS "dutyChanges",
        (SELECT json_agg(json_build_array(${DAY('o.from_on')}, ${DAY('o.until_on')}) ORDER BY o.from_on)
          FROM off_road_periods o WHERE o.organisation_id = v.organisation_id AND o.vehicle_id = v.id) AS "offRoad",
        (SELECT json_agg(json_build_object('id', t.id, 'task', t.task, 'position', t.position, 'doneOn', t.done_on,
            'odometerValue', t.odometer_value, 'odometerUnit', t.odometer_unit, 'engineHours', t.engine_hours,
            'outcome', t.outcome)
            ORDER BY t.done_on, t.id)
          FROM task_completions t WHERE t.organisation_id = v.organisation_id AND t.vehicle_id = v.id
            AND t.voided_at IS NULL) AS completions,
        (SELECT json_agg(json_build_object('id', s.id, 'task', s.task,
            'doneOn', (s.done_at AT TIME ZONE d.zone)::date, 'at', ${MILLISECONDS('s.done_at')},
            'outcome', CASE s.outcome WHEN 'passed' THEN 'done' ELSE s.outcome END) ORDER BY s.done_at, s.id)
          FROM system_tests s WHERE s.organisation_id = v.organisation_id AND s.vehicle_id = v.id
            AND s.voided_at IS NULL AND s.outcome <> 'inconclusive') AS "systemTests"
      FROM vehicles v
        JOIN depots d ON d.organisation_id = v.organisation_id AND d.id = v.depot_id
        JOIN fleets f ON f.organisation_id = v.organisation_id AND f.id = v.fleet_id
        JOIN organisations g ON g.organisation_id = v.organisation_id
        LEFT JOIN service_programmes p ON p.organisation_id = v.organisation_id
          AND p.id = COALESCE(v.service_programme_id, f.service_programme_id, g.default_service_programme_id)
      WHERE v.id = ANY ($1::uuid[])`,
      [vehicleIds],
    );
  }

  private fittedUnits(
    tx: Tx,
    vehicleIds: readonly string[],
  ): Promise<(UnitRecord & { vehicleId: string })[]> {
    return tx.query<(UnitRecord & { vehicleId: string })[]>(
      `SELECT p.vehicle_id AS "vehicleId", u.id AS "unitId", u.serial_number AS "serialNumber", y.id AS "typeId",
        y.code AS "typeCode", y.nominal_precharge20_bar_gauge AS "nominalPrecharge20BarGauge", m.model,
        u.made_on::text AS "madeOn", p.position, (p.from_at AT TIME ZONE d.zone)::date::text AS "fittedOn",
        p.vehicle_total_km_from AS "vehicleTotalKmAtFitting",
        (SELECT json_agg(json_build_object('fromDay', ${DAY('(e.from_at AT TIME ZONE d.zone)::date')},
            'untilDay', ${DAY('(e.until_at AT TIME ZONE d.zone)::date')}, 'fromKm', e.vehicle_total_km_from,
            'untilKm', e.vehicle_total_km_until) ORDER BY e.from_at)
          FROM unit_placements e WHERE e.organisation_id = p.organisation_id AND e.unit_id = p.unit_id
            AND e.state = 'fitted' AND e.until_at IS NOT NULL) AS "earlierFitments",
        (SELECT json_agg(json_build_object('id', t.id, 'kind', t.kind, 'doneOn', (t.done_at AT TIME ZONE d.zone)::date,
            'at', ${MILLISECONDS('t.done_at')}, 'precharge20BarGauge', t.precharge20_bar_gauge,
            'outcome', t.outcome) ORDER BY t.done_at, t.id)
          FROM gas_unit_events t WHERE t.organisation_id = p.organisation_id AND t.unit_id = p.unit_id
            AND t.voided_at IS NULL) AS events
      FROM unit_placements p
        JOIN gas_units u ON u.organisation_id = p.organisation_id AND u.id = p.unit_id
        JOIN gas_unit_types y ON y.organisation_id = u.organisation_id AND y.id = u.unit_type_id
        LEFT JOIN precharge_models m ON m.organisation_id = y.organisation_id AND m.unit_type_id = y.id
        JOIN vehicles v ON v.organisation_id = p.organisation_id AND v.id = p.vehicle_id
        JOIN depots d ON d.organisation_id = v.organisation_id AND d.id = v.depot_id
      WHERE p.vehicle_id = ANY ($1::uuid[]) AND p.until_at IS NULL ORDER BY p.vehicle_id, p.position`,
      [vehicleIds],
    );
  }

  programmeVersions(tx: Tx, versionIds: readonly string[]): Promise<StoredProgrammeVersion[]> {
    return tx.query<StoredProgrammeVersion[]>(
      `SELECT id, rules, severity_by_duty_class AS "severityByDutyClass"
        FROM service_programme_versions WHERE id = ANY ($1::uuid[])`,
      [versionIds],
    );
  }

  /** The version in force for a vehicle, or for a fleet as such. */
  async programmeVersionId(tx: Tx, vehicleId: string | null, fleetId: string | null): Promise<string | null> {
    const [row] = await tx.query<{ versionId: string | null }[]>(
      `SELECT p.current_version_id AS "versionId"
        FROM organisations g
          LEFT JOIN vehicles v ON v.organisation_id = g.organisation_id AND v.id = $1
          LEFT JOIN fleets f ON f.organisation_id = g.organisation_id AND f.id = COALESCE(v.fleet_id, $2)
          JOIN service_programmes p ON p.organisation_id = g.organisation_id
            AND p.id = COALESCE(v.service_programme_id, f.service_programme_id, g.default_service_programme_id)`,
      [vehicleId, fleetId],
    );
    return row?.versionId ?? null;
  }

  /** The fitted models of the fleets that the vehicles belong to. */
  usageModelsOf(tx: Tx, vehicleIds: readonly string[]): Promise<StoredUsageModel[]> {
    return tx.query<StoredUsageModel[]>(
      `SELECT fleet_id AS "fleetId", meter, duty_class AS "dutyClass", model
        FROM usage_models WHERE fleet_id IN (SELECT fleet_id FROM vehicles WHERE id = ANY ($1::uuid[]))`,
      [vehicleIds],
    );
  }

  /** The model of one fleet, meter and duty class, with how well it held; null where none was fitted. */
  async usageModel(
    tx: Tx,
    fleetId: string,
    meter: Meter,
    dutyClass: string,
  ): Promise<{ model: UsageModel; fittedAt: string; backTest: UsageModelRecord['backTest'] } | null> {
    const [row] = await tx.query<
      { model: UsageModel; fittedAt: Date; backTest: UsageModelRecord['backTest'] }[]
    >(
      `SELECT model, fitted_at AS "fittedAt", back_test AS "backTest"
        FROM usage_models WHERE fleet_id = $1 AND meter = $2 AND duty_class = $3`,
      [fleetId, meter, dutyClass],
    );
    return row === undefined ? null : { ...row, fittedAt: row.fittedAt.toISOString() };
  }

  /** Ids of vehicles in service, by what they have in common. */
  async vehicleIds(tx: Tx, filter: VehicleFilter, afterId: string | null, limit: number): Promise<string[]> {
    const rows = await tx.query<{ id: string }[]>(
      `SELECT v.id FROM vehicles v
        JOIN fleets f ON f.organisation_id = v.organisation_id AND f.id = v.fleet_id
        JOIN organisations g ON g.organisation_id = v.organisation_id
        WHERE v.retired_on IS NULL
          AND ($1::uuid IS NULL OR v.depot_id = $1) AND ($2::uuid IS NULL OR v.fleet_id = $2)
          AND ($3::uuid IS NULL OR COALESCE(v.service_programme_id, f.service_programme_id, g.default_service_programme_id) = $3)
          AND ($4::uuid IS NULL OR v.id > $4)
          AND (NOT $6::boolean OR COALESCE(v.service_programme_id, f.service_programme_id) IS NULL)
        ORDER BY v.id LIMIT $5`,
      [
        filter.depotId ?? null,
        filter.fleetId ?? null,
        filter.programmeId ?? null,
        afterId,
        limit,
        filter.followsDefault ?? false,
      ],
    );
    return rows.map(({ id }) => id);
  }
}
