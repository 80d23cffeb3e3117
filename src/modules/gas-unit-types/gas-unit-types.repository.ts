import { Injectable } from '@nestjs/common';
import { In, MoreThan } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { GasUnitType } from './gas-unit-type.entity';

export type NewGasUnitType = Omit<GasUnitType, 'id' | 'revision' | 'createdAt' | 'updatedAt'>;

@Injectable()
export class GasUnitTypesRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, afterId: string | null, limit: number): Promise<GasUnitType[]> {
    return tx.find(GasUnitType, {
      where: afterId === null ? {} : { id: MoreThan(afterId) },
      order: { id: 'ASC' },
      take: limit + 1,
    });
  }

  find(tx: Tx, id: string): Promise<GasUnitType | null> {
    return tx.findOneBy(GasUnitType, { id });
  }

  findByCodes(tx: Tx, codes: readonly string[]): Promise<GasUnitType[]> {
    return tx.findBy(GasUnitType, { code: In([...codes]) });
  }

  lock(tx: Tx, id: string): Promise<GasUnitType | null> {
    return tx.findOne(GasUnitType, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  /** Vehicles on which a unit of the type is fitted now, by id. */
  async vehicleIds(tx: Tx, typeId: string): Promise<string[]> {
    const rows = await tx.query<{ id: string }[]>(
      `SELECT DISTINCT p.vehicle_id AS id FROM unit_placements p
        JOIN gas_units u ON u.organisation_id = p.organisation_id AND u.id = p.unit_id
        WHERE u.unit_type_id = $1 AND p.until_at IS NULL AND p.vehicle_id IS NOT NULL ORDER BY 1`,
      [typeId],
    );
    return rows.map(({ id }) => id);
  }

  /** Positions at which a unit of the type is fitted now. */
  async fittedPositions(tx: Tx, typeId: string): Promise<string[]> {
    const rows = await tx.query<{ position: string }[]>(
      `SELECT DISTINCT p.position FROM unit_placements p
        JOIN gas_units u ON u.organisation_id = p.organisation_id AND u.id = p.unit_id
        WHERE u.unit_type_id = $1 AND p.until_at IS NULL AND p.position IS NOT NULL ORDER BY 1`,
      [typeId],
    );
    return rows.map(({ position }) => position);
  }

  save(tx: Tx, type: GasUnitType): Promise<GasUnitType> {
    return tx.save(GasUnitType, type);
  }

  create(tx: Tx, values: NewGasUnitType): Promise<GasUnitType> {
    return tx.save(GasUnitType, tx.create(GasUnitType, values));
  }
}
