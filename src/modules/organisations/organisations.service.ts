import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { refuseKeyOfSomeFleets } from '../../platform/database/fleet-scope';
import { Transactions } from '../../platform/database/transactions';
import { expectRevision } from '../../platform/http/entity-tag';
import { applyMergePatch } from '../../platform/http/merge-patch';
import type { RequestContext } from '../../platform/http/request-context';
import { toOrganisationDto, type OrganisationDto } from './dto/organisation.dto';
import type { UpdateOrganisationDto } from './dto/write-organisation.dto';
import type { Organisation } from './organisation.entity';
import { OrganisationsRepository } from './organisations.repository';

@Injectable()
export class OrganisationsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly organisations: OrganisationsRepository,
    private readonly audit: AuditTrail,
  ) {}

  get({ principal }: RequestContext): Promise<OrganisationDto> {
    return this.transactions.read(principal, async (tx) =>
      toOrganisationDto(await this.organisations.find(tx, principal.organisationId)),
    );
  }

  update(context: RequestContext, revision: number, body: UpdateOrganisationDto): Promise<OrganisationDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      await refuseKeyOfSomeFleets(tx, 'the organisation is shared by all');
      const organisation = await this.organisations.lock(tx, principal.organisationId);
      expectRevision(organisation, revision);
      const before = toOrganisationDto(organisation);
      if (applyMergePatch<Organisation>(organisation, body).length === 0) return before;
      organisation.revision += 1;
      const after = toOrganisationDto(await this.organisations.save(tx, organisation));
      await this.audit.record(tx, principal, {
        action: 'changed',
        subjectType: 'organisation',
        subjectId: principal.organisationId,
        before,
        after,
      });
      return after;
    });
  }
}
