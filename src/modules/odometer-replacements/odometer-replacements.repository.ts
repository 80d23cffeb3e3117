import { Injectable } from '@nestjs/common';
import { In } from 'typeorm';
import { formatInstant } from '../../core/shared/instant';
import type { Tx } from '../../platform/database/transactions';
import { OdometerReplacement } from './odometer-replacement.entity';

/** A replacement to record; `at` is its instant in milliseconds. */
export type NewReplacement = Pick<
  OdometerReplacement,
  | 'vehicleId'
  | 'fleetId'
  | 'meter'
  | 'oldFinalValue'
  | 'oldUnit'
  | 'newInitialValue'
  | 'newUnit'
  | 'note'
  | 'externalKey'
> & { at: number };

@Injectable()
export class OdometerReplacementsRepository {
  /** Earliest first; one row more than `limit`. */
  list(
    tx: Tx,
    vehicleId: string,
    after: { replacedAt: string; id: string } | null,
    limit: number,
  ): Promise<OdometerReplacement[]> {
    const query = tx
      .createQueryBuilder(OdometerReplacement, 'c')
      .where('c.vehicleId = :vehicleId', { vehicleId })
      .orderBy('c.replacedAt')
      .addOrderBy('c.id')
      .limit(limit + 1);
    if (after !== null) {
      query.andWhere('(c.replacedAt, c.id) > (:afterAt, :afterId)', {
        afterAt: after.replacedAt,
        afterId: after.id,
      });
    }
    return query.getMany();
  }

  find(tx: Tx, id: string): Promise<OdometerReplacement | null> {
    return tx.findOneBy(OdometerReplacement, { id });
  }

  findByExternalKey(tx: Tx, externalKey: string): Promise<OdometerReplacement | null> {
    return tx.findOneBy(OdometerReplacement, { externalKey });
  }

  findOfMoment(
    tx: Tx,
    vehicleId: string,
    meter: OdometerReplacement['meter'],
    replacedAt: Date,
  ): Promise<OdometerReplacement | null> {
    return tx.findOneBy(OdometerReplacement, { vehicleId, meter, replacedAt });
  }

  /** Every replacement of the given vehicles, and those that have one of the keys. */
  findForBatch(tx: Tx, vehicleIds: string[], externalKeys: string[]): Promise<OdometerReplacement[]> {
    return tx.find(OdometerReplacement, {
      where: [{ vehicleId: In(vehicleIds) }, { externalKey: In(externalKeys) }],
    });
  }

  save(tx: Tx, replacements: OdometerReplacement[]): Promise<OdometerReplacement[]> {
    return tx.save(OdometerReplacement, replacements);
  }

  /** Ids by place in `replacements`; one whose key belongs to a record out of sight is left out. */
  createMany(
    tx: Tx,
    organisationId: string,
    replacements: readonly NewReplacement[],
  ): Promise<{ place: number; id: string }[]> {
    const incoming = replacements.map(({ at, ...rest }, place) => ({
      place,
      ...rest,
      replacedAt: formatInstant(at),
    }));
    return tx.query(
      `WITH incoming AS MATERIALIZED (
        SELECT uuidv7() AS id, r.* FROM json_to_recordset($2::json) AS r (place integer, "vehicleId" uuid,
          "fleetId" uuid, meter text, "replacedAt" timestamptz, "oldFinalValue" double precision, "oldUnit" text,
          "newInitialValue" double precision, "newUnit" text, note text, "externalKey" text)
      ), added AS (
        INSERT INTO odometer_replacements (organisation_id, id, vehicle_id, fleet_id, meter, replaced_at,
            old_final_value, old_unit, new_initial_value, new_unit, note, external_key)
          SELECT $1, id, "vehicleId", "fleetId", meter, "replacedAt", "oldFinalValue", "oldUnit", "newInitialValue",
            "newUnit", note, "externalKey" FROM incoming
          ON CONFLICT ON CONSTRAINT odometer_replacements_external_key_key DO NOTHING RETURNING id
      )
      SELECT place, id FROM incoming JOIN added USING (id)`,
      [organisationId, JSON.stringify(incoming)],
    );
  }

  async delete(tx: Tx, { organisationId, id }: OdometerReplacement): Promise<void> {
    await tx.delete(OdometerReplacement, { organisationId, id });
  }
}
