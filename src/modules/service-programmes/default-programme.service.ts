import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { Transactions } from '../../platform/database/transactions';
import { expectRevision } from '../../platform/http/entity-tag';
import type { RequestContext } from '../../platform/http/request-context';
import { DueItemsService } from '../due-items/due-items.service';
import type { DefaultServiceProgrammeDto } from './dto/service-programme.dto';
import { MOST_VEHICLES_AT_ONCE } from './programme-activation.service';
import { concernsAllFleets, noSuchProgramme } from './service-programmes.errors';
import { ServiceProgrammesRepository } from './service-programmes.repository';

/** The programme of vehicles that have none of their own and whose fleet has none. */
@Injectable()
export class DefaultProgrammeService {
  constructor(
    private readonly transactions: Transactions,
    private readonly programmes: ServiceProgrammesRepository,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
  ) {}

  get({ principal }: RequestContext): Promise<DefaultServiceProgrammeDto> {
    return this.transactions.read(principal, (tx) => this.programmes.defaultProgramme(tx, false));
  }

  async set(
    context: RequestContext,
    revision: number,
    serviceProgrammeId: string | null,
  ): Promise<DefaultServiceProgrammeDto> {
    const { principal } = context;
    const { answer, left } = await this.transactions.write(context, async (tx) => {
      if (await this.programmes.seesSomeFleetsOnly(tx)) throw concernsAllFleets('the default programme');
      const before = await this.programmes.defaultProgramme(tx, true);
      expectRevision(before, revision);
      if (serviceProgrammeId !== null && (await this.programmes.find(tx, serviceProgrammeId)) === null) {
        throw noSuchProgramme(serviceProgrammeId);
      }
      if (before.serviceProgrammeId === serviceProgrammeId) return { answer: before, left: false };
      const after = { serviceProgrammeId, revision: revision + 1 };
      await this.programmes.setDefaultProgramme(tx, after);
      await this.audit.record(tx, principal, {
        action: 'default-service-programme-changed',
        subjectType: 'organisation',
        subjectId: principal.organisationId,
        before,
        after,
      });
      const followers = await this.dueItems.vehicleIds(
        tx,
        { followsDefault: true },
        null,
        MOST_VEHICLES_AT_ONCE + 1,
      );
      const many = followers.length > MOST_VEHICLES_AT_ONCE;
      if (!many) await this.dueItems.recompute(tx, principal, followers);
      return { answer: after, left: many };
    });
    // many vehicles: in batches after the change, so that nobody waits for all of them at once
    if (left) await this.dueItems.recomputeInBatches(principal, { followsDefault: true });
    return answer;
  }
}
