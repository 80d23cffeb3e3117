import { Injectable } from '@nestjs/common';
import { In, LessThan, MoreThan } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { OffRoadPeriod } from './off-road-period.entity';

export type NewOffRoadPeriod = Pick<
  OffRoadPeriod,
  'organisationId' | 'vehicleId' | 'fleetId' | 'fromOn' | 'untilOn' | 'reason' | 'externalKey'
>;

@Injectable()
export class OffRoadPeriodsRepository {
  /** Earliest first; periods of a vehicle never overlap. One row more than `limit`. */
  list(tx: Tx, vehicleId: string, afterOn: string | null, limit: number): Promise<OffRoadPeriod[]> {
    return tx.find(OffRoadPeriod, {
      where: { vehicleId, ...(afterOn === null ? {} : { fromOn: MoreThan(afterOn) }) },
      order: { fromOn: 'ASC' },
      take: limit + 1,
    });
  }

  find(tx: Tx, id: string): Promise<OffRoadPeriod | null> {
    return tx.findOneBy(OffRoadPeriod, { id });
  }

  findByExternalKey(tx: Tx, externalKey: string): Promise<OffRoadPeriod | null> {
    return tx.findOneBy(OffRoadPeriod, { externalKey });
  }

  /** The earliest period of the vehicle that shares a day with the given ones. */
  findOverlapping(tx: Tx, vehicleId: string, fromOn: string, untilOn: string): Promise<OffRoadPeriod | null> {
    return tx.findOne(OffRoadPeriod, {
      where: { vehicleId, fromOn: LessThan(untilOn), untilOn: MoreThan(fromOn) },
      order: { fromOn: 'ASC' },
    });
  }

  /** Every period of the given vehicles, and those that have one of the keys. */
  findForBatch(tx: Tx, vehicleIds: string[], externalKeys: string[]): Promise<OffRoadPeriod[]> {
    return tx.find(OffRoadPeriod, {
      where: [{ vehicleId: In(vehicleIds) }, { externalKey: In(externalKeys) }],
    });
  }

  save(tx: Tx, periods: OffRoadPeriod[]): Promise<OffRoadPeriod[]> {
    return tx.save(OffRoadPeriod, periods);
  }

  create(tx: Tx, values: NewOffRoadPeriod): Promise<OffRoadPeriod> {
    return tx.save(OffRoadPeriod, tx.create(OffRoadPeriod, values));
  }

  /** Ids by place in `rows`; a row whose key belongs to a record out of sight is left out. */
  createMany(
    tx: Tx,
    organisationId: string,
    rows: Omit<NewOffRoadPeriod, 'organisationId'>[],
  ): Promise<{ place: number; id: string }[]> {
    return tx.query(
      `WITH incoming AS MATERIALIZED (
        SELECT uuidv7() AS id, r.* FROM json_to_recordset($2::json) AS r (place integer, "vehicleId" uuid,
          "fleetId" uuid, "fromOn" date, "untilOn" date, reason text, "externalKey" text)
      ), added AS (
        INSERT INTO off_road_periods (organisation_id, id, vehicle_id, fleet_id, from_on, until_on, reason, external_key)
          SELECT $1, id, "vehicleId", "fleetId", "fromOn", "untilOn", reason, "externalKey" FROM incoming
          ON CONFLICT ON CONSTRAINT off_road_periods_external_key_key DO NOTHING RETURNING id
      )
      SELECT place, id FROM incoming JOIN added USING (id)`,
      [organisationId, JSON.stringify(rows.map((row, place) => ({ place, ...row })))],
    );
  }

  async delete(tx: Tx, period: OffRoadPeriod): Promise<void> {
    await tx.delete(OffRoadPeriod, { organisationId: period.organisationId, id: period.id });
  }
}
