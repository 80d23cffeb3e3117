import { Injectable } from '@nestjs/common';
import type { HydraulicLayout, LayoutEvidenceByFact } from '../../core/hydraulics/hydraulic-layout';
import type { Tx } from '../../platform/database/transactions';

/** What is known of a vehicle's layout; null where nothing is recorded. */
export interface KnownLayout {
  /** equal for vehicles of which the same things have to be looked at */
  signature: string;
  layout: HydraulicLayout | null;
  evidence: LayoutEvidenceByFact;
}

export interface VehicleToInspect extends KnownLayout {
  vehicleId: string;
  fleetId: string;
  depotId: string;
  registrationMark: string;
  fleetNumber: string | null;
  rank: number;
}

export interface InspectionFilter {
  fleetId?: string;
  depotId?: string;
}

// What has to be looked at hangs on the facts, on whether there is a fluid and a capacity, and on which
// facts have evidence; not on who saw them. (jsonb keeps its keys in an order of its own, always the same.)
const SIGNATURE = `concat_ws(' ', l.pump_kind, l.anti_sink_valves, l.rear_brake_accumulator, l.steering_supply,
  l.steering_regulator, l.fluid IS NULL, l.reservoir_litres IS NULL,
  jsonb_path_query_array(l.evidence, '$.keyvalue().key'))`;

const VEHICLES = `FROM vehicles v
  LEFT JOIN hydraulic_layouts l ON l.organisation_id = v.organisation_id AND l.vehicle_id = v.id
    AND l.superseded_at IS NULL
  WHERE v.retired_on IS NULL
    AND ($1::uuid IS NULL OR v.fleet_id = $1) AND ($2::uuid IS NULL OR v.depot_id = $2)`;

const LAYOUT = `CASE WHEN l.id IS NOT NULL THEN json_build_object('pumpKind', l.pump_kind,
    'antiSinkValves', l.anti_sink_valves, 'rearBrakeAccumulator', l.rear_brake_accumulator,
    'steeringSupply', l.steering_supply, 'steeringRegulator', l.steering_regulator, 'fluid', l.fluid,
    'reservoirLitres', l.reservoir_litres) END AS layout, COALESCE(l.evidence, '{}') AS evidence`;

@Injectable()
export class VehiclesToInspectRepository {
  /** One vehicle's knowledge for each different one; there are few, however many vehicles there are. */
  distinctLayouts(tx: Tx, filter: InspectionFilter): Promise<KnownLayout[]> {
    return tx.query<KnownLayout[]>(
      `SELECT x.signature, ${LAYOUT}
        FROM (SELECT ${SIGNATURE} AS signature, min(l.id::text)::uuid AS layout_id ${VEHICLES} GROUP BY 1) x
          LEFT JOIN hydraulic_layouts l ON l.id = x.layout_id`,
      [filter.fleetId ?? null, filter.depotId ?? null],
    );
  }

  /** Vehicles whose layout has a rank, by rank and id. One row more than `limit`. */
  list(
    tx: Tx,
    filter: InspectionFilter,
    ranks: readonly { signature: string; rank: number }[],
    after: { rank: number; vehicleId: string } | null,
    limit: number,
  ): Promise<VehicleToInspect[]> {
    return tx.query<VehicleToInspect[]>(
      `SELECT x.rank, x.signature, v.id AS "vehicleId", v.fleet_id AS "fleetId", v.depot_id AS "depotId",
          v.registration_mark AS "registrationMark", v.fleet_number AS "fleetNumber", ${LAYOUT}
        FROM (
          SELECT r.rank, k.* FROM (SELECT v.id AS vehicle_id, l.id AS layout_id, ${SIGNATURE} AS signature ${VEHICLES}) k
            JOIN json_to_recordset($3::json) AS r (signature text, rank integer) ON r.signature = k.signature
            WHERE $4::integer IS NULL OR (r.rank, k.vehicle_id) > ($4, $5::uuid)
            ORDER BY r.rank, k.vehicle_id LIMIT $6
        ) x
          JOIN vehicles v ON v.id = x.vehicle_id
          LEFT JOIN hydraulic_layouts l ON l.id = x.layout_id
        ORDER BY x.rank, x.vehicle_id`,
      [
        filter.fleetId ?? null,
        filter.depotId ?? null,
        JSON.stringify(ranks),
        after?.rank ?? null,
        after?.vehicleId ?? null,
        limit + 1,
      ],
    );
  }
}
