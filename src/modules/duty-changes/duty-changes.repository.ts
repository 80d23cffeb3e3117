import { Injectable } from '@nestjs/common';
import { In, MoreThan } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { DutyChange } from './duty-change.entity';

export type NewDutyChange = Pick<
  DutyChange,
  'organisationId' | 'vehicleId' | 'fleetId' | 'fromOn' | 'dutyClass' | 'note' | 'externalKey'
>;

@Injectable()
export class DutyChangesRepository {
  /** Earliest first; a vehicle has one change a day at most. One row more than `limit`. */
  list(tx: Tx, vehicleId: string, afterOn: string | null, limit: number): Promise<DutyChange[]> {
    return tx.find(DutyChange, {
      where: { vehicleId, ...(afterOn === null ? {} : { fromOn: MoreThan(afterOn) }) },
      order: { fromOn: 'ASC' },
      take: limit + 1,
    });
  }

  find(tx: Tx, id: string): Promise<DutyChange | null> {
    return tx.findOneBy(DutyChange, { id });
  }

  findByExternalKey(tx: Tx, externalKey: string): Promise<DutyChange | null> {
    return tx.findOneBy(DutyChange, { externalKey });
  }

  findOfDay(tx: Tx, vehicleId: string, fromOn: string): Promise<DutyChange | null> {
    return tx.findOneBy(DutyChange, { vehicleId, fromOn });
  }

  /** Every change of the given vehicles, and those that have one of the keys. */
  findForBatch(tx: Tx, vehicleIds: string[], externalKeys: string[]): Promise<DutyChange[]> {
    return tx.find(DutyChange, {
      where: [{ vehicleId: In(vehicleIds) }, { externalKey: In(externalKeys) }],
    });
  }

  save(tx: Tx, changes: DutyChange[]): Promise<DutyChange[]> {
    return tx.save(DutyChange, changes);
  }

  create(tx: Tx, values: NewDutyChange): Promise<DutyChange> {
    return tx.save(DutyChange, tx.create(DutyChange, values));
  }

  /** Ids by place in `rows`; a row whose key belongs to a record out of sight is left out. */
  createMany(
    tx: Tx,
    organisationId: string,
    rows: Omit<NewDutyChange, 'organisationId'>[],
  ): Promise<{ place: number; id: string }[]> {
    return tx.query(
      `WITH incoming AS MATERIALIZED (
        SELECT uuidv7() AS id, r.* FROM json_to_recordset($2::json) AS r (place integer, "vehicleId" uuid,
          "fleetId" uuid, "fromOn" date, "dutyClass" text, note text, "externalKey" text)
      ), added AS (
        INSERT INTO duty_changes (organisation_id, id, vehicle_id, fleet_id, from_on, duty_class, note, external_key)
          SELECT $1, id, "vehicleId", "fleetId", "fromOn", "dutyClass", note, "externalKey" FROM incoming
          ON CONFLICT ON CONSTRAINT duty_changes_external_key_key DO NOTHING RETURNING id
      )
      SELECT place, id FROM incoming JOIN added USING (id)`,
      [organisationId, JSON.stringify(rows.map((row, place) => ({ place, ...row })))],
    );
  }

  async delete(tx: Tx, change: DutyChange): Promise<void> {
    await tx.delete(DutyChange, { organisationId: change.organisationId, id: change.id });
  }
}
