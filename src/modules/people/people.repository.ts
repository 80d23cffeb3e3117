import { Injectable } from '@nestjs/common';
import type { SelectQueryBuilder } from 'typeorm';
import { withinOwnLimits } from '../../platform/database/access-limits';
import type { Tx } from '../../platform/database/transactions';
import { Person } from './person.entity';

@Injectable()
export class PeopleRepository {
  /** One row more than `limit`, so that the caller knows whether there is a next page. */
  list(tx: Tx, includeDisabled: boolean, afterId: string | null, limit: number): Promise<Person[]> {
    const query = this.visible(tx)
      .orderBy('p.id')
      .limit(limit + 1);
    if (!includeDisabled) query.andWhere(`p.state <> 'disabled'`);
    if (afterId !== null) query.andWhere('p.id > :afterId', { afterId });
    return query.getMany();
  }

  find(tx: Tx, id: string): Promise<Person | null> {
    return this.visible(tx).andWhere('p.id = :id', { id }).getOne();
  }

  findByAddress(tx: Tx, addressDigest: Buffer): Promise<Person | null> {
    return this.visible(tx).andWhere('p.addressDigest = :addressDigest', { addressDigest }).getOne();
  }

  lock(tx: Tx, id: string): Promise<Person | null> {
    return this.visible(tx).andWhere('p.id = :id', { id }).setLock('pessimistic_write').getOne();
  }

  save(tx: Tx, person: Person): Promise<Person> {
    return tx.save(Person, person);
  }

  create(tx: Tx, values: Omit<Person, 'id' | 'revision' | 'createdAt'>): Promise<Person> {
    return tx.save(Person, tx.create(Person, values));
  }

  /** Sessions and invitations end by the clock of the database, which is the one that checks them. */
  async now(tx: Tx): Promise<Date> {
    const [row] = await tx.query<[{ now: Date }]>(`SELECT now() AS now`);
    return row.now;
  }

  async organisationName(tx: Tx): Promise<string> {
    const [row] = await tx.query<[{ name: string }]>(
      `SELECT name FROM organisations WHERE organisation_id = app.organisation_id()`,
    );
    return row.name;
  }

  // who is limited to some fleets or workshops sees the people within them, and themselves
  private visible(tx: Tx): SelectQueryBuilder<Person> {
    return tx.createQueryBuilder(Person, 'p').where(withinOwnLimits('p'));
  }
}
