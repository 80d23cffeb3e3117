import { Injectable } from '@nestjs/common';
import type { HydraulicLayout } from '../../core/hydraulics/hydraulic-layout';
import type { ProgrammeOptions } from '../../core/due/rule';
import type { CalendarDate, EpochDay } from '../../core/shared/calendar-date';
import type { InstrumentReplacement, ReadingUnit } from '../../core/usage/meter-track';
import type { UsageModel } from '../../core/usage/usage-model';
import type { Tx } from '../../platform/database/transactions';
import type { UsageModelRecord } from '../usage-models/usage-model-record.entity';

export type Meter = 'odometer' | 'engine-hours';

/** Everything recorded of one vehicle that its due items depend on; days are local to its depot. */
export interface VehicleRecords {
  vehicleId: string;
  fleetId: string;
  depotId: string;
  zone: string;
  dutyClass: string;
  inServiceOn: CalendarDate | null;
  inServiceOdometerKm: number | null;
  inServiceEngineHours: number | null;
  statedYearlyDistanceKm: number | null;
  programmeVersionId: string | null;
  layout: HydraulicLayout | null;
  /** [local day, value, unit, meter] of the accepted readings */
  readings: [EpochDay, number, ReadingUnit, Meter][] | null;
  replacements: (InstrumentReplacement & { meter: Meter })[] | null;
  /** [local day, duty class], earliest first */
  dutyChanges: [EpochDay, string][] | null;
  /** [first day off the road, first day back] */
  offRoad: [EpochDay, EpochDay][] | null;
  completions:
    | {
        id: string;
        task: string;
        position: string | null;
        doneOn: CalendarDate;
        odometerValue: number | null;
        odometerUnit: 'km' | 'mi' | null;
        engineHours: number | null;
      }[]
    | null;
}

export interface StoredProgrammeVersion {
  id: string;
  rules: ProgrammeOptions['rules'];
  severityByDutyClass: Record<string, number>;
}

export interface StoredUsageModel {
  fleetId: string;
  meter: Meter;
  dutyClass: string;
  model: UsageModel;
}

/** Vehicles in service by what they have in common. */
export interface VehicleFilter {
  depotId?: string;
  fleetId?: string;
  programmeId?: string;
  /** neither the vehicle nor its fleet has a programme of its own */
  followsDefault?: boolean;
}

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

  load(tx: Tx, vehicleIds: readonly string[]): Promise<VehicleRecords[]> {
    return tx.query<VehicleRecords[]>(
      `SELECT v.id AS "vehicleId", v.fleet_id AS "fleetId", v.depot_id AS "depotId", d.zone,
        v.duty_class AS "dutyClass", v.in_service_on::text AS "inServiceOn",
        v.in_service_odometer_km AS "inServiceOdometerKm", v.in_service_engine_hours AS "inServiceEngineHours",
        v.stated_yearly_distance_km AS "statedYearlyDistanceKm", p.current_version_id AS "programmeVersionId",
        (SELECT json_build_object('pumpKind', l.pump_kind, 'antiSinkValves', l.anti_sink_valves,
            'rearBrakeAccumulator', l.rear_brake_accumulator, 'steeringSupply', l.steering_supply,
            'steeringRegulator', l.steering_regulator, 'fluid', l.fluid, 'reservoirLitres', l.reservoir_litres)
          FROM hydraulic_layouts l WHERE l.organisation_id = v.organisation_id AND l.vehicle_id = v.id
            AND l.superseded_at IS NULL) AS layout,
        (SELECT ${JSON_LIST(`'[' || ${DAY('(r.read_at AT TIME ZONE d.zone)::date')} || ',' || r.value || ',"' || r.unit || '","' || r.meter || '"]'`, 'r.read_at, r.id')}
          FROM odometer_readings r WHERE r.organisation_id = v.organisation_id AND r.vehicle_id = v.id
            AND r.state = 'accepted') AS readings,
        (SELECT json_agg(json_build_object('meter', c.meter, 'day', ${DAY('(c.replaced_at AT TIME ZONE d.zone)::date')},
            'oldFinalValue', c.old_final_value, 'oldUnit', c.old_unit, 'newInitialValue', c.new_initial_value,
            'newUnit', c.new_unit) ORDER BY c.replaced_at, c.id)
          FROM odometer_replacements c WHERE c.organisation_id = v.organisation_id AND c.vehicle_id = v.id) AS replacements,
        (SELECT json_agg(json_build_array(${DAY('u.from_on')}, u.duty_class) ORDER BY u.from_on)
          FROM duty_changes u WHERE u.organisation_id = v.organisation_id AND u.vehicle_id = v.id) AS "dutyChanges",
        (SELECT json_agg(json_build_array(${DAY('o.from_on')}, ${DAY('o.until_on')}) ORDER BY o.from_on)
          FROM off_road_periods o WHERE o.organisation_id = v.organisation_id AND o.vehicle_id = v.id) AS "offRoad",
        (SELECT json_agg(json_build_object('id', t.id, 'task', t.task, 'position', t.position, 'doneOn', t.done_on,
            'odometerValue', t.odometer_value, 'odometerUnit', t.odometer_unit, 'engineHours', t.engine_hours)
            ORDER BY t.done_on, t.id)
          FROM task_completions t WHERE t.organisation_id = v.organisation_id AND t.vehicle_id = v.id
            AND t.voided_at IS NULL) AS completions
      FROM vehicles v
        JOIN depots d ON d.organisation_id = v.organisation_id AND d.id = v.depot_id
        JOIN fleets f ON f.organisation_id = v.organisation_id AND f.id = v.fleet_id
        JOIN organisations g ON g.organisation_id = v.organisation_id
        LEFT JOIN service_programmes p ON p.organisation_id = v.organisation_id
          AND p.id = COALESCE(v.service_programme_id, f.service_programme_id, g.default_service_programme_id)
      WHERE v.id = ANY ($1::uuid[]) AND v.retired_on IS NULL`,
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
