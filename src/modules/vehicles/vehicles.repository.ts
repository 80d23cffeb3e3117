import { Injectable } from '@nestjs/common';
import { In } from 'typeorm';
import type { Tx } from '../../platform/database/transactions';
import { Vehicle } from './vehicle.entity';

export interface VehicleFilter {
  fleetId?: string;
  depotId?: string;
  externalKey?: string;
  search?: string;
  includeRetired?: boolean;
  /** for each: only vehicles that are among the ids (`is`), or only the others */
  among?: readonly { is: boolean; vehicleIds: readonly string[] }[];
}

@Injectable()
export class VehiclesRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, filter: VehicleFilter, afterId: string | null, limit: number): Promise<Vehicle[]> {
    const query = tx
      .createQueryBuilder(Vehicle, 'v')
      .orderBy('v.id')
      .limit(limit + 1);
    if (filter.fleetId !== undefined) query.andWhere('v.fleetId = :fleetId', { fleetId: filter.fleetId });
    if (filter.depotId !== undefined) query.andWhere('v.depotId = :depotId', { depotId: filter.depotId });
    if (filter.externalKey !== undefined) query.andWhere('v.externalKey = :key', { key: filter.externalKey });
    if (filter.includeRetired !== true) query.andWhere('v.retiredOn IS NULL');
    if (filter.search !== undefined) {
      const part = `%${filter.search
        .replace(/\s+/g, '')
        .toUpperCase()
        .replace(/[\\%_]/g, '\\$&')}%`;
      query.andWhere(
        `(replace(v.registrationMark, ' ', '') LIKE :part OR replace(upper(v.fleetNumber), ' ', '') LIKE :part OR v.vin LIKE :part)`,
        { part },
      );
    }
    for (const [index, { is, vehicleIds }] of (filter.among ?? []).entries())
      query.andWhere(`(v.id = ANY (:ids${index}::uuid[])) = :is${index}`, {
        [`ids${index}`]: [...vehicleIds],
        [`is${index}`]: is,
      });
    if (afterId !== null) query.andWhere('v.id > :afterId', { afterId });
    return query.getMany();
  }

  find(tx: Tx, id: string): Promise<Vehicle | null> {
    return tx.findOneBy(Vehicle, { id });
  }

  findByExternalKeys(tx: Tx, externalKeys: readonly string[]): Promise<Vehicle[]> {
    return tx.findBy(Vehicle, { externalKey: In([...externalKeys]) });
  }

  lock(tx: Tx, id: string): Promise<Vehicle | null> {
    return tx.findOne(Vehicle, { where: { id }, lock: { mode: 'pessimistic_write' } });
  }

  save(tx: Tx, vehicle: Vehicle): Promise<Vehicle> {
    return tx.save(Vehicle, vehicle);
  }

  create(
    tx: Tx,
    values: Omit<Vehicle, 'id' | 'revision' | 'createdAt' | 'updatedAt' | 'retiredOn'>,
  ): Promise<Vehicle> {
    return tx.save(Vehicle, tx.create(Vehicle, { ...values, retiredOn: null }));
  }
}
