import { Injectable } from '@nestjs/common';
import type { VariantFacts } from '../../core/hydraulics/hydraulic-layout';
import type { Tx } from '../../platform/database/transactions';
import type { HoldFilter, HoldRecords } from './vehicle-hold';

// A failed test at the rear brakes counts whatever the programme says of it: see the findings of the layout.
const HOLDING_FAILURE = `i.driver = 'failed-test' AND (i.safety_critical OR i.position = 'rear-brake-accumulator')`;

/** A vehicle with at least one reason to be held. */
export interface HoldCandidate {
  vehicleId: string;
  /** an override is in force, or a unit was taken out: whether a reason stands is for the core to say */
  uncertain: boolean;
}

/** Reads across the tables that holds follow from; set-based like the computation of due items. */
@Injectable()
export class HoldRecordsRepository {
  load(tx: Tx, vehicleIds: readonly string[], nowAt: string): Promise<HoldRecords[]> {
    return tx.query<HoldRecords[]>(
      `SELECT v.id AS "vehicleId", v.fleet_id AS "fleetId", v.depot_id AS "depotId",
        v.registration_mark AS "registrationMark", v.fleet_number AS "fleetNumber", d.zone, t.today::text AS "todayOn",
        v.retired_on IS NOT NULL AS retired,
        (SELECT json_build_object('pumpKind', l.pump_kind, 'antiSinkValves', l.anti_sink_valves,
            'rearBrakeAccumulator', l.rear_brake_accumulator, 'steeringSupply', l.steering_supply,
            'steeringRegulator', l.steering_regulator, 'fluid', l.fluid, 'reservoirLitres', l.reservoir_litres)
          FROM hydraulic_layouts l WHERE l.organisation_id = v.organisation_id AND l.vehicle_id = v.id
            AND l.superseded_at IS NULL) AS layout,
        (SELECT json_agg(json_build_object('id', i.id, 'key', i.item_key, 'cycle', i.details->>'cycle',
            'task', i.task, 'title', i.details->>'title', 'position', i.position, 'safetyCritical', i.safety_critical,
            'earlyOn', i.early_on, 'dueOn', i.due_on, 'lateOn', i.late_on,
            'beyondHorizon', (i.details->>'beyondHorizon')::boolean,
            'failedTest', CASE WHEN i.driver = 'failed-test' THEN i.reasoning->'limits'->0 END) ORDER BY i.item_key)
          FROM due_items i WHERE i.organisation_id = v.organisation_id AND i.vehicle_id = v.id
            AND (i.safety_critical AND i.due_on IS NOT NULL AND i.late_on < t.today OR ${HOLDING_FAILURE})) AS "holdingItems",
        (SELECT json_agg(json_build_object('position', p.position, 'since', p.since::text) ORDER BY p.position)
          FROM (SELECT p.position, max((p.until_at AT TIME ZONE d.zone)::date) AS since FROM unit_placements p
            WHERE p.organisation_id = v.organisation_id AND p.vehicle_id = v.id
            GROUP BY p.position HAVING bool_and(p.until_at IS NOT NULL)) p) AS "emptiedPositions",
        (SELECT json_agg(json_build_object('id', h.id, 'reason', h.reason, 'placedBy', h.placed_by,
            'placedAt', h.placed_at, 'placedOn', LEAST((h.placed_at AT TIME ZONE d.zone)::date, t.today),
            'revision', h.revision) ORDER BY h.id)
          FROM holds h WHERE h.organisation_id = v.organisation_id AND h.vehicle_id = v.id
            AND h.lifted_at IS NULL) AS "manualHolds",
        (SELECT json_agg(json_build_object('id', o.id, 'reasonKeys', o.reason_keys, 'namedPerson', o.named_person,
            'statement', o.statement, 'fromOn', o.from_on, 'untilOn', o.until_on, 'recordedBy', o.recorded_by,
            'recordedAt', o.recorded_at, 'revision', o.revision) ORDER BY o.id)
          FROM hold_overrides o WHERE o.organisation_id = v.organisation_id AND o.vehicle_id = v.id
            AND o.revoked_at IS NULL AND t.today BETWEEN o.from_on AND o.until_on) AS overrides
      FROM vehicles v
        JOIN depots d ON d.organisation_id = v.organisation_id AND d.id = v.depot_id
        CROSS JOIN LATERAL (SELECT ($2::timestamptz AT TIME ZONE d.zone)::date AS today) t
      WHERE v.id = ANY ($1::uuid[]) ORDER BY v.id`,
      [vehicleIds, nowAt],
    );
  }

  /**
   * Vehicles in service that have a reason to be held, by id; all of them where `limit` is null.
   *
   * @param standing layouts whose record alone is a reason
   */
  candidates(
    tx: Tx,
    filter: HoldFilter,
    standing: readonly VariantFacts[],
    nowAt: string,
    afterId: string | null,
    limit: number | null,
  ): Promise<HoldCandidate[]> {
    // The date one day ahead of UTC is at or past today in every zone, and nothing is overdue before it is
    // due: so the index over due dates leaves few items to look at.
    return tx.query<HoldCandidate[]>(
      `WITH days AS MATERIALIZED (
        SELECT id, ($1::timestamptz AT TIME ZONE zone)::date AS today FROM depots
      ), reasons AS (
        SELECT i.vehicle_id, false AS uncertain FROM due_items i JOIN days ON days.id = i.depot_id
          WHERE i.safety_critical AND i.late_on < days.today
            AND i.due_on <= ($1::timestamptz AT TIME ZONE 'UTC')::date + 1
        UNION SELECT h.vehicle_id, false FROM holds h WHERE h.lifted_at IS NULL
        UNION SELECT i.vehicle_id, NOT i.safety_critical FROM due_items i WHERE ${HOLDING_FAILURE}
        UNION SELECT p.vehicle_id, true FROM unit_placements p WHERE p.vehicle_id IS NOT NULL AND p.until_at IS NOT NULL
          AND NOT EXISTS (SELECT FROM unit_placements now WHERE now.organisation_id = p.organisation_id
            AND now.vehicle_id = p.vehicle_id AND now.position = p.position AND now.until_at IS NULL)
        UNION SELECT l.vehicle_id, false FROM hydraulic_layouts l
          JOIN json_to_recordset($2::json) AS s ("pumpKind" text, "antiSinkValves" text,
              "rearBrakeAccumulator" text, "steeringSupply" text, "steeringRegulator" text)
            ON l.pump_kind = s."pumpKind" AND l.anti_sink_valves = s."antiSinkValves"
              AND l.rear_brake_accumulator = s."rearBrakeAccumulator"
              AND l.steering_supply = s."steeringSupply" AND l.steering_regulator = s."steeringRegulator"
          WHERE l.superseded_at IS NULL
      )
      SELECT v.id AS "vehicleId", EXISTS (
          SELECT FROM hold_overrides o WHERE o.organisation_id = v.organisation_id AND o.vehicle_id = v.id
            AND o.revoked_at IS NULL AND days.today BETWEEN o.from_on AND o.until_on)
          OR bool_and(r.uncertain) AS uncertain
        FROM reasons r JOIN vehicles v ON v.id = r.vehicle_id JOIN days ON days.id = v.depot_id
        WHERE v.retired_on IS NULL
          AND ($3::uuid IS NULL OR v.fleet_id = $3) AND ($4::uuid IS NULL OR v.depot_id = $4)
          AND ($5::uuid IS NULL OR v.id = $5) AND ($6::uuid IS NULL OR v.id > $6)
        GROUP BY v.organisation_id, v.id, days.today ORDER BY v.id LIMIT $7`,
      [
        nowAt,
        JSON.stringify(standing),
        filter.fleetId ?? null,
        filter.depotId ?? null,
        filter.vehicleId ?? null,
        afterId,
        limit,
      ],
    );
  }
}
