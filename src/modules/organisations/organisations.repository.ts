import { Injectable } from '@nestjs/common';
import type { Tx } from '../../platform/database/transactions';
import { Organisation } from './organisation.entity';

@Injectable()
export class OrganisationsRepository {
  find(tx: Tx, organisationId: string): Promise<Organisation> {
    return tx.findOneByOrFail(Organisation, { organisationId });
  }

  lock(tx: Tx, organisationId: string): Promise<Organisation> {
    return tx.findOneOrFail(Organisation, {
      where: { organisationId },
      lock: { mode: 'pessimistic_write' },
    });
  }

  save(tx: Tx, organisation: Organisation): Promise<Organisation> {
    return tx.save(Organisation, organisation);
  }
}
