import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import type { ExportKind, ExportLines } from './dto/export-lines.dto';

/** Where the lines of a kind come from: the record is `r`, and everything that is limited to fleets is joined by its fleet. */
interface Source {
  from: string;
  where?: string;
  /** values by the column of the file; text where nothing else is said */
  columns: Record<string, string>;
}

const instant = (value: string): string =>
  `to_char(${value} AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"')`;

// a vehicle without a key of the operator has no name that a file could call it by
const OF_VEHICLE = 'JOIN vehicles v ON v.id = r.vehicle_id AND v.external_key IS NOT NULL';
const OF_UNIT = 'JOIN gas_units u ON u.id = r.unit_id AND u.external_key IS NOT NULL';
const known = (fact: string): string => `NULLIF(r.${fact}, 'unverified')`;

const SOURCES: Record<ExportKind, Source> = {
  vehicles: {
    from: `vehicles r JOIN depots d ON d.id = r.depot_id AND d.external_key IS NOT NULL JOIN fleets f ON f.id = r.fleet_id`,
    where: 'r.external_key IS NOT NULL',
    columns: {
      externalKey: 'r.external_key',
      depotKey: 'd.external_key',
      fleetKey: 'f.external_key',
      registrationMark: 'r.registration_mark',
      fleetNumber: 'r.fleet_number',
      vin: 'r.vin',
      dutyClass: 'r.duty_class',
      odometerUnit: 'r.odometer_unit',
      inServiceOn: 'r.in_service_on',
      inServiceOdometerKm: 'r.in_service_odometer_km',
      inServiceEngineHours: 'r.in_service_engine_hours',
      statedYearlyDistanceKm: 'r.stated_yearly_distance_km',
    },
  },
  'duty-changes': {
    from: `duty_changes r ${OF_VEHICLE}`,
    columns: {
      vehicleKey: 'v.external_key',
      externalKey: 'r.external_key',
      fromOn: 'r.from_on',
      dutyClass: 'r.duty_class',
      note: 'r.note',
    },
  },
  'hydraulic-layouts': {
    // a line has room for one evidence: it is told where all recorded facts have the same
    from: `hydraulic_layouts r ${OF_VEHICLE}
      CROSS JOIN LATERAL (
        SELECT CASE WHEN count(*) = count(seen) AND count(DISTINCT seen) = 1 THEN (array_agg(seen))[1] END AS seen
          FROM (VALUES ('pumpKind', ${known('pump_kind')}), ('antiSinkValves', ${known('anti_sink_valves')}),
              ('rearBrakeAccumulator', ${known('rear_brake_accumulator')}), ('steeringSupply', ${known('steering_supply')}),
              ('steeringRegulator', ${known('steering_regulator')}), ('fluid', r.fluid),
              ('reservoirLitres', r.reservoir_litres::text)) AS fact (name, value)
            CROSS JOIN LATERAL (SELECT r.evidence -> fact.name AS seen) AS evidence
          WHERE fact.value IS NOT NULL
      ) AS e`,
    where: 'r.superseded_at IS NULL',
    columns: {
      vehicleKey: 'v.external_key',
      pumpKind: known('pump_kind'),
      antiSinkValves: known('anti_sink_valves'),
      rearBrakeAccumulator: known('rear_brake_accumulator'),
      steeringSupply: known('steering_supply'),
      steeringRegulator: known('steering_regulator'),
      fluid: 'r.fluid',
      reservoirLitres: 'r.reservoir_litres',
      seenBy: `e.seen ->> 'seenBy'`,
      seenOn: `e.seen ->> 'seenOn'`,
      how: `e.seen ->> 'how'`,
    },
  },
  'odometer-replacements': {
    from: `odometer_replacements r ${OF_VEHICLE}`,
    columns: {
      vehicleKey: 'v.external_key',
      externalKey: 'r.external_key',
      meter: 'r.meter',
      replacedAt: instant('r.replaced_at'),
      oldFinalValue: 'r.old_final_value',
      oldUnit: 'r.old_unit',
      newInitialValue: 'r.new_initial_value',
      newUnit: 'r.new_unit',
      note: 'r.note',
    },
  },
  'off-road-periods': {
    from: `off_road_periods r ${OF_VEHICLE}`,
    columns: {
      vehicleKey: 'v.external_key',
      externalKey: 'r.external_key',
      fromOn: 'r.from_on',
      untilOn: 'r.until_on',
      reason: 'r.reason',
    },
  },
  'odometer-readings': {
    from: `odometer_readings r ${OF_VEHICLE}`,
    where: `r.state <> 'rejected'`,
    columns: {
      vehicleKey: 'v.external_key',
      externalKey: 'r.external_key',
      meter: 'r.meter',
      readAt: instant('r.read_at'),
      value: 'r.value',
      unit: 'r.unit',
      source: 'r.source',
    },
  },
  'service-history': {
    from: `task_completions r ${OF_VEHICLE}`,
    where: 'r.voided_at IS NULL',
    columns: {
      vehicleKey: 'v.external_key',
      externalKey: 'r.external_key',
      task: 'r.task',
      position: 'r.position',
      doneOn: 'r.done_on',
      outcome: 'r.outcome',
      odometer: 'r.odometer_value',
      odometerUnit: 'r.odometer_unit',
      engineHours: 'r.engine_hours',
      doneBy: 'r.done_by',
      note: 'r.note',
    },
  },
  'gas-units': {
    from: `gas_units r JOIN fleets f ON f.id = r.fleet_id AND f.external_key IS NOT NULL
      JOIN gas_unit_types t ON t.id = r.unit_type_id`,
    where: 'r.external_key IS NOT NULL',
    columns: {
      externalKey: 'r.external_key',
      fleetKey: 'f.external_key',
      typeCode: 't.code',
      serialNumber: 'r.serial_number',
      madeOn: 'r.made_on',
      note: 'r.note',
    },
  },
  'unit-placements': {
    // where a unit was is told by the keys of vehicle and depot; without one of them a line would name another place
    from: `unit_placements r ${OF_UNIT} LEFT JOIN vehicles v ON v.id = r.vehicle_id LEFT JOIN depots d ON d.id = r.depot_id`,
    where: `(r.vehicle_id IS NULL OR v.external_key IS NOT NULL) AND (r.depot_id IS NULL OR d.external_key IS NOT NULL)`,
    columns: {
      unitKey: 'u.external_key',
      externalKey: 'r.external_key',
      state: 'r.state',
      fromAt: instant('r.from_at'),
      untilAt: instant('r.until_at'),
      vehicleKey: 'v.external_key',
      position: 'r.position',
      depotKey: 'd.external_key',
      vehicleTotalKmFrom: 'r.vehicle_total_km_from',
      vehicleTotalKmUntil: 'r.vehicle_total_km_until',
      note: 'r.note',
    },
  },
  'unit-tests': {
    from: `gas_unit_events r ${OF_UNIT} LEFT JOIN gauges g ON g.id = r.gauge_id`,
    where: 'r.voided_at IS NULL',
    columns: {
      unitKey: 'u.external_key',
      externalKey: 'r.external_key',
      kind: 'r.kind',
      doneAt: instant('r.done_at'),
      doneBy: 'r.done_by',
      pressureBarGauge: 'r.pressure_bar_gauge',
      gasTemperatureC: 'r.gas_temperature_c',
      ambientBar: 'r.ambient_bar',
      gaugeCode: 'g.code',
      note: 'r.note',
    },
  },
};

@Injectable()
export class ExportsRepository {
  /** In order of recording; one row more than `limit`, so that the caller knows whether there is a next page. */
  list<Kind extends ExportKind>(
    tx: Tx,
    kind: Kind,
    fleetId: string | undefined,
    afterId: string | null,
    limit: number,
  ): Promise<{ id: string; line: ExportLines[Kind] }[]> {
    const { from, where = 'true', columns } = SOURCES[kind];
    const line = Object.entries(columns).map(([name, value]) => `'${name}', ${value}`);
    return tx.query(
      `SELECT r.id, json_build_object(${line.join(', ')}) AS line FROM ${from}
        WHERE ${where} AND ($1::uuid IS NULL OR r.fleet_id = $1) AND ($2::uuid IS NULL OR r.id > $2)
        ORDER BY r.id LIMIT $3`,
      [fleetId ?? null, afterId, limit + 1],
    );
  }
}
