import { Injectable } from '@nestjs/common';
import { In, IsNull } from 'typeorm';
import type { HydraulicLayout, LayoutEvidenceByFact } from '../../core/hydraulics/hydraulic-layout';
import type { Tx } from '../../platform/database/transactions';
import { HydraulicLayoutRecord } from './hydraulic-layout-record.entity';

/** A version to store; several of one vehicle follow each other without a gap. */
export interface NewLayoutVersion {
  vehicleId: string;
  fleetId: string;
  layout: HydraulicLayout;
  evidence: LayoutEvidenceByFact;
  recordedBy: string;
  recordedAt: Date;
  supersededAt: Date | null;
}

export interface NumberedVersion {
  record: HydraulicLayoutRecord;
  version: number;
}

@Injectable()
export class HydraulicLayoutsRepository {
  async current(
    tx: Tx,
    vehicleId: string,
  ): Promise<{ record: HydraulicLayoutRecord | null; revision: number }> {
    const record = await tx.findOneBy(HydraulicLayoutRecord, { vehicleId, supersededAt: IsNull() });
    return { record, revision: await tx.countBy(HydraulicLayoutRecord, { vehicleId }) };
  }

  /** Every version of each vehicle, earliest first. */
  async versionsOf(tx: Tx, vehicleIds: readonly string[]): Promise<Map<string, HydraulicLayoutRecord[]>> {
    const records = await tx.find(HydraulicLayoutRecord, {
      where: { vehicleId: In([...vehicleIds]) },
      order: { recordedAt: 'ASC' },
    });
    const byVehicle = new Map(vehicleIds.map((id): [string, HydraulicLayoutRecord[]] => [id, []]));
    for (const record of records) byVehicle.get(record.vehicleId)?.push(record);
    return byVehicle;
  }

  /** Latest first; only the one that was valid at a moment where that is given. One row more than `limit`. */
  async history(
    tx: Tx,
    vehicleId: string,
    at: Date | null,
    beforeVersion: number | null,
    limit: number,
  ): Promise<NumberedVersion[]> {
    const numbers = await tx.query<{ id: string; version: number }[]>(
      `SELECT id, version FROM (
          SELECT id, recorded_at, superseded_at, row_number() OVER (ORDER BY recorded_at)::integer AS version
            FROM hydraulic_layouts WHERE vehicle_id = $1) l
        WHERE ($2::timestamptz IS NULL OR (recorded_at <= $2 AND (superseded_at IS NULL OR superseded_at > $2)))
          AND ($3::integer IS NULL OR version < $3)
        ORDER BY version DESC LIMIT $4`,
      [vehicleId, at, beforeVersion, limit + 1],
    );
    const records = await tx.findBy(HydraulicLayoutRecord, { id: In(numbers.map(({ id }) => id)) });
    const byId = new Map(records.map((record) => [record.id, record]));
    return numbers.flatMap(({ id, version }) => {
      const record = byId.get(id);
      return record === undefined ? [] : [{ record, version }];
    });
  }

  /**
   * The time of the database, which alone decides what was known when. Not that of the transaction's start:
   * a transaction that waited for the vehicle follows the one that it waited for. Whole milliseconds, so that
   * an answer's instant finds the version that it names.
   */
  async now(tx: Tx): Promise<Date> {
    const [row] = await tx.query<[{ now: Date }]>(
      `SELECT date_trunc('milliseconds', clock_timestamp()) AS now`,
    );
    return row.now;
  }

  /** Ends the current version of each vehicle where its first new one begins, and adds the new ones. */
  async supersede(tx: Tx, organisationId: string, versions: readonly NewLayoutVersion[]): Promise<void> {
    if (versions.length === 0) return;
    const rows = JSON.stringify(versions.map(({ layout, ...version }) => ({ ...version, ...layout })));
    await tx.query(
      `UPDATE hydraulic_layouts l SET superseded_at = n.at
        FROM (SELECT "vehicleId", min("recordedAt") AS at
          FROM json_to_recordset($1::json) AS r ("vehicleId" uuid, "recordedAt" timestamptz) GROUP BY 1) n
        WHERE l.vehicle_id = n."vehicleId" AND l.superseded_at IS NULL`,
      [rows],
    );
    await tx.query(
      `INSERT INTO hydraulic_layouts (organisation_id, vehicle_id, fleet_id, pump_kind, anti_sink_valves,
          rear_brake_accumulator, steering_supply, steering_regulator, fluid, reservoir_litres, evidence,
          recorded_by, recorded_at, superseded_at)
        SELECT $1, r.* FROM json_to_recordset($2::json) AS r ("vehicleId" uuid, "fleetId" uuid, "pumpKind" text,
          "antiSinkValves" text, "rearBrakeAccumulator" text, "steeringSupply" text, "steeringRegulator" text,
          fluid text, "reservoirLitres" double precision, evidence jsonb, "recordedBy" text,
          "recordedAt" timestamptz, "supersededAt" timestamptz)`,
      [organisationId, rows],
    );
  }
}
