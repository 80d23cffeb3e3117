import { Injectable } from '@nestjs/common';
import { starterProgramme, STARTER_SOURCE } from '../../core/due/starter-programme';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { applyMergePatch } from '../../platform/http/merge-patch';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import { checkedRules, type CheckedRules } from './checked-rules';
import { toServiceProgrammeDto, type ServiceProgrammeDto } from './dto/service-programme.dto';
import type { CreateServiceProgrammeDto, UpdateServiceProgrammeDto } from './dto/write-service-programme.dto';
import type { ServiceProgramme } from './service-programme.entity';
import { givenBesideStarter, programmeNameTaken, rulesMissing } from './service-programmes.errors';
import { ServiceProgrammesRepository } from './service-programmes.repository';

@Injectable()
export class ServiceProgrammesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly programmes: ServiceProgrammesRepository,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list(
    { principal }: RequestContext,
    { limit = 50, cursor }: PageQueryDto,
  ): Promise<Page<ServiceProgrammeDto>> {
    const filter = { list: 'service-programmes', organisationId: principal.organisationId };
    const after = this.cursors.after(cursor, filter);
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.programmes.list(tx, after === null ? null : String(after[0]), limit);
      const { items, next } = this.cursors.page(
        rows,
        limit,
        filter,
        (row) => [row.id],
        (row) => row,
      );
      return { items: await this.described(tx, items), next };
    });
  }

  get({ principal }: RequestContext, programmeId: string): Promise<ServiceProgrammeDto> {
    return this.transactions.read(principal, async (tx) => {
      const programme = await this.programmes.find(tx, programmeId);
      if (programme === null) throw notFound('service programme', programmeId);
      return this.describe(tx, programme);
    });
  }

  create(context: RequestContext, body: CreateServiceProgrammeDto): Promise<ServiceProgrammeDto> {
    const { principal } = context;
    const fromStarter = body.fromStarter === true;
    const first = firstRules(body);
    return this.transactions.write(context, async (tx) => {
      const programme = await onConstraint(
        () =>
          this.programmes.create(tx, {
            organisationId: principal.organisationId,
            name: body.name,
            origin: fromStarter ? 'starter' : 'own',
            originNote: body.originNote ?? (fromStarter ? STARTER_SOURCE : 'not stated'),
          }),
        { service_programmes_name_key: () => programmeNameTaken(body.name) },
      );
      await this.programmes.createDraft(tx, {
        organisationId: principal.organisationId,
        programmeId: programme.id,
        ...first,
        changeNote: fromStarter ? 'starter rules' : 'first version',
      });
      const answer = await this.describe(tx, programme);
      await this.audit.record(tx, principal, {
        action: 'created',
        subjectType: 'service-programme',
        subjectId: programme.id,
        after: { ...answer, ...first },
      });
      return answer;
    });
  }

  update(
    context: RequestContext,
    programmeId: string,
    revision: number,
    body: UpdateServiceProgrammeDto,
  ): Promise<ServiceProgrammeDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const programme = await this.programmes.lock(tx, programmeId);
      if (programme === null) throw notFound('service programme', programmeId);
      expectRevision(programme, revision);
      const before = await this.describe(tx, programme);
      if (applyMergePatch<ServiceProgramme>(programme, body).length === 0) return before;
      programme.revision += 1;
      await onConstraint(() => this.programmes.save(tx, programme), {
        service_programmes_name_key: () => programmeNameTaken(body.name),
      });
      const after = await this.describe(tx, programme);
      await this.audit.record(tx, principal, {
        action: 'changed',
        subjectType: 'service-programme',
        subjectId: programmeId,
        before,
        after,
      });
      return after;
    });
  }

  private async describe(tx: Tx, programme: ServiceProgramme): Promise<ServiceProgrammeDto> {
    const [described] = await this.described(tx, [programme]);
    if (described === undefined) throw notFound('service programme', programme.id);
    return described;
  }

  private async described(tx: Tx, programmes: ServiceProgramme[]): Promise<ServiceProgrammeDto[]> {
    const latest = await this.programmes.latestVersions(
      tx,
      programmes.map(({ id }) => id),
    );
    const current = await this.programmes.versionHeads(
      tx,
      programmes.flatMap(({ currentVersionId }) => currentVersionId ?? []),
    );
    return programmes.map((programme) =>
      toServiceProgrammeDto(programme, {
        current: current.get(programme.currentVersionId ?? '') ?? null,
        latest: latest.get(programme.id) ?? null,
      }),
    );
  }
}

function firstRules({ fromStarter, rules, severityByDutyClass }: CreateServiceProgrammeDto): CheckedRules {
  if (fromStarter !== true) {
    if (rules === undefined) throw rulesMissing('set fromStarter to true');
    return checkedRules(rules, severityByDutyClass);
  }
  if (rules !== undefined) throw givenBesideStarter('#/rules');
  if (severityByDutyClass !== undefined && severityByDutyClass !== null) {
    throw givenBesideStarter('#/severityByDutyClass');
  }
  const starter = starterProgramme();
  return checkedRules(starter.rules, starter.severityByDutyClass);
}
