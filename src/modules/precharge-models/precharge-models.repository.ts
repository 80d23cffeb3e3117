import { Injectable } from '@nestjs/common';
import type { PrechargeLearningRecord } from '../../core/precharge/learn-precharge-model';
import type { PrechargeModel, PrechargeRecord } from '../../core/precharge/precharge-model';
import type { Tx } from '../../platform/database/transactions';
import { PrechargeModelRecord } from './precharge-model-record.entity';

/** A type of unit with what was learnt of it, if anything was. */
export interface TypeWithModel {
  unitTypeId: string;
  typeCode: string;
  typeName: string;
  model: PrechargeModel | null;
  learning: PrechargeLearningRecord | null;
  fittedAt: Date | null;
}

const TYPES = `SELECT y.id AS "unitTypeId", y.code AS "typeCode", y.name AS "typeName", m.model, m.learning,
    m.fitted_at AS "fittedAt"
  FROM gas_unit_types y
    LEFT JOIN precharge_models m ON m.organisation_id = y.organisation_id AND m.unit_type_id = y.id`;

@Injectable()
export class PrechargeModelsRepository {
  /** By code of the type; one row more than `limit`. */
  list(tx: Tx, afterCode: string | null, limit: number): Promise<TypeWithModel[]> {
    return tx.query<TypeWithModel[]>(
      `${TYPES} WHERE $1::text IS NULL OR y.code > $1 ORDER BY y.code LIMIT $2`,
      [afterCode, limit + 1],
    );
  }

  /** One type, or all of them. */
  types(tx: Tx, unitTypeId: string | null): Promise<TypeWithModel[]> {
    return tx.query<TypeWithModel[]>(`${TYPES} WHERE $1::uuid IS NULL OR y.id = $1 ORDER BY y.code`, [
      unitTypeId,
    ]);
  }

  async model(tx: Tx, unitTypeId: string): Promise<{ model: PrechargeModel; fittedAt: Date } | null> {
    const [row] = await tx.query<{ model: PrechargeModel; fittedAt: Date }[]>(
      `SELECT model, fitted_at AS "fittedAt" FROM precharge_models WHERE unit_type_id = $1`,
      [unitTypeId],
    );
    return row ?? null;
  }

  /** What was measured on the units of a type, scrapped ones too; days by the zone of the depot that a unit had last. */
  records(tx: Tx, unitTypeId: string): Promise<PrechargeRecord[]> {
    return tx.query<PrechargeRecord[]>(
      `SELECT u.id AS "unitId", (
          SELECT json_agg(json_build_object('id', e.id, 'kind', e.kind, 'precharge20BarGauge', e.precharge20_bar_gauge,
              'day', (e.done_at AT TIME ZONE COALESCE(last.zone, 'UTC'))::date - DATE '1970-01-01')
            ORDER BY e.done_at, e.id)
          FROM gas_unit_events e
          WHERE e.organisation_id = u.organisation_id AND e.unit_id = u.id AND e.voided_at IS NULL
        ) AS observations
        FROM gas_units u
          LEFT JOIN LATERAL (
            SELECT d.zone FROM unit_placements p
              LEFT JOIN vehicles v ON v.organisation_id = p.organisation_id AND v.id = p.vehicle_id
              JOIN depots d ON d.organisation_id = p.organisation_id AND d.id = COALESCE(v.depot_id, p.depot_id)
            WHERE p.organisation_id = u.organisation_id AND p.unit_id = u.id ORDER BY p.from_at DESC LIMIT 1
          ) last ON true
        WHERE u.unit_type_id = $1 AND EXISTS (
          SELECT 1 FROM gas_unit_events e
            WHERE e.organisation_id = u.organisation_id AND e.unit_id = u.id AND e.voided_at IS NULL
        )`,
      [unitTypeId],
    );
  }

  /** Puts the models in the place of what was there for their types. */
  async replace(
    tx: Tx,
    organisationId: string,
    models: readonly { unitTypeId: string; model: PrechargeModel; learning: PrechargeLearningRecord }[],
  ): Promise<void> {
    if (models.length === 0) return;
    await tx.upsert(
      PrechargeModelRecord,
      models.map((each) => ({ ...each, organisationId, fittedAt: () => 'now()' })),
      ['organisationId', 'unitTypeId'],
    );
  }

  /** Vehicles that have a unit of one of the types now, ordered. */
  async vehiclesWith(tx: Tx, unitTypeIds: readonly string[]): Promise<string[]> {
    const rows = await tx.query<{ id: string }[]>(
      `SELECT DISTINCT p.vehicle_id AS id FROM unit_placements p
        JOIN gas_units u ON u.organisation_id = p.organisation_id AND u.id = p.unit_id
        WHERE p.until_at IS NULL AND p.vehicle_id IS NOT NULL AND u.unit_type_id = ANY ($1::uuid[]) ORDER BY id`,
      [unitTypeIds],
    );
    return rows.map(({ id }) => id);
  }
}
