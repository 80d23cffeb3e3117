import { Injectable } from '@nestjs/common';
import type { HydraulicLayout, LayoutEvidenceByFact } from '../../core/hydraulics/hydraulic-layout';
import type { Tx } from '../../platform/database/transactions';
import { JobSheetRecord } from './job-sheet-record.entity';

export interface JobSheetFilter {
  workshopId?: string;
  vehicleId?: string;
  bookingId?: string;
  state?: string;
}

/** A gas unit that is fitted to a vehicle now. */
export interface FittedUnitRow {
  position: string;
  unitId: string;
  serialNumber: string;
  typeCode: string;
  typeName: string;
  gasVolumeCm3: number;
  nominal20BarGauge: number;
}

/** How a test ended. */
export interface OutcomeRow {
  id: string;
  outcome: 'passed' | 'failed' | 'inconclusive';
  reasons: unknown[];
}

@Injectable()
export class JobSheetsRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, filter: JobSheetFilter, afterId: string | null, limit: number): Promise<JobSheetRecord[]> {
    const query = tx
      .createQueryBuilder(JobSheetRecord, 's')
      .orderBy('s.id')
      .limit(limit + 1);
    for (const field of ['workshopId', 'vehicleId', 'bookingId', 'state'] as const) {
      if (filter[field] !== undefined) query.andWhere(`s.${field} = :${field}`, { [field]: filter[field] });
    }
    if (afterId !== null) query.andWhere('s.id > :afterId', { afterId });
    return query.getMany();
  }

  find(tx: Tx, id: string): Promise<JobSheetRecord | null> {
    return tx.findOneBy(JobSheetRecord, { id });
  }

  findOfBooking(tx: Tx, bookingId: string): Promise<JobSheetRecord | null> {
    return tx.findOneBy(JobSheetRecord, { bookingId });
  }

  lock(tx: Tx, id: string): Promise<JobSheetRecord | null> {
    return tx.findOne(JobSheetRecord, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  create(
    tx: Tx,
    values: Pick<
      JobSheetRecord,
      'organisationId' | 'bookingId' | 'fleetId' | 'vehicleId' | 'workshopId' | 'sheet'
    >,
  ): Promise<JobSheetRecord> {
    const open = { state: 'open' as const, entries: [], partsUsed: [], workFound: [] };
    const none = {
      completion: null,
      completionFingerprint: null,
      completedAt: null,
      signedOffBy: null,
      decision: null,
    };
    return tx.save(JobSheetRecord, tx.create(JobSheetRecord, { ...values, ...open, ...none }));
  }

  save(tx: Tx, sheet: JobSheetRecord): Promise<JobSheetRecord> {
    return tx.save(JobSheetRecord, sheet);
  }

  /** The layout in force and who saw what of it; null where nobody recorded one. */
  async layoutOf(
    tx: Tx,
    vehicleId: string,
  ): Promise<{ layout: HydraulicLayout; evidence: LayoutEvidenceByFact } | null> {
    const [row] = await tx.query<{ layout: HydraulicLayout; evidence: LayoutEvidenceByFact }[]>(
      `SELECT json_build_object('pumpKind', pump_kind, 'antiSinkValves', anti_sink_valves,
          'rearBrakeAccumulator', rear_brake_accumulator, 'steeringSupply', steering_supply,
          'steeringRegulator', steering_regulator, 'fluid', fluid, 'reservoirLitres', reservoir_litres) AS layout, evidence
        FROM hydraulic_layouts WHERE vehicle_id = $1 AND superseded_at IS NULL`,
      [vehicleId],
    );
    return row ?? null;
  }

  fittedUnits(tx: Tx, vehicleId: string): Promise<FittedUnitRow[]> {
    return tx.query<FittedUnitRow[]>(
      `SELECT p.position, u.id AS "unitId", u.serial_number AS "serialNumber", t.code AS "typeCode", t.name AS "typeName",
          t.gas_volume_cm3 AS "gasVolumeCm3", t.nominal_precharge20_bar_gauge AS "nominal20BarGauge"
        FROM unit_placements p
        JOIN gas_units u ON u.organisation_id = p.organisation_id AND u.id = p.unit_id
        JOIN gas_unit_types t ON t.organisation_id = u.organisation_id AND t.id = u.unit_type_id
        WHERE p.vehicle_id = $1 AND p.until_at IS NULL ORDER BY p.position`,
      [vehicleId],
    );
  }

  /** Units with a serial number, however it is written, that are neither fitted nor scrapped. */
  spareUnits(tx: Tx, serialNumber: string): Promise<{ id: string }[]> {
    return tx.query<{ id: string }[]>(
      `SELECT u.id FROM gas_units u
        LEFT JOIN unit_placements p ON p.organisation_id = u.organisation_id AND p.unit_id = u.id AND p.until_at IS NULL
        WHERE u.serial_number = upper(regexp_replace(trim($1), '\\s+', ' ', 'g'))
          AND COALESCE(p.state, '') NOT IN ('fitted', 'scrapped')
        ORDER BY u.id`,
      [serialNumber],
    );
  }

  /** How tests ended, of units or of vehicles; ids of anything else are left out. */
  outcomes(tx: Tx, ids: readonly string[]): Promise<OutcomeRow[]> {
    return tx.query<OutcomeRow[]>(
      `SELECT id, outcome, outcome_reasons AS reasons FROM gas_unit_events WHERE id = ANY ($1::uuid[])
        UNION ALL SELECT id, outcome, outcome_reasons FROM system_tests WHERE id = ANY ($1::uuid[])`,
      [ids],
    );
  }
}
