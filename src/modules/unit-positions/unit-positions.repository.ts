import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import { OwnUnitPosition } from './unit-position.entity';

@Injectable()
export class UnitPositionsRepository {
  /** All of the organisation's own, by code. */
  all(tx: Tx): Promise<OwnUnitPosition[]> {
    return tx.find(OwnUnitPosition, { order: { code: 'ASC' } });
  }

  find(tx: Tx, id: string): Promise<OwnUnitPosition | null> {
    return tx.findOneBy(OwnUnitPosition, { id });
  }

  lock(tx: Tx, id: string): Promise<OwnUnitPosition | null> {
    return tx.findOne(OwnUnitPosition, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  /** Takes own positions for the transaction, so that none is deleted while a unit is put there. */
  async share(tx: Tx, codes: readonly string[]): Promise<void> {
    await tx.query(`SELECT FROM unit_positions WHERE code = ANY ($1) ORDER BY code FOR SHARE`, [codes]);
  }

  /** Whether a unit was ever recorded at a position. */
  async everUsed(tx: Tx, code: string): Promise<boolean> {
    const [row] = await tx.query<[{ used: boolean }]>(
      `SELECT EXISTS (SELECT FROM unit_placements WHERE position = $1)
        OR EXISTS (SELECT FROM gas_unit_events WHERE position = $1) AS used`,
      [code],
    );
    return row.used;
  }

  save(tx: Tx, position: OwnUnitPosition): Promise<OwnUnitPosition> {
    return tx.save(OwnUnitPosition, position);
  }

  create(
    tx: Tx,
    values: Pick<OwnUnitPosition, 'organisationId' | 'code' | 'name' | 'role'>,
  ): Promise<OwnUnitPosition> {
    return tx.save(OwnUnitPosition, tx.create(OwnUnitPosition, values));
  }

  async delete(tx: Tx, { organisationId, id }: OwnUnitPosition): Promise<void> {
    await tx.delete(OwnUnitPosition, { organisationId, id });
  }
}
