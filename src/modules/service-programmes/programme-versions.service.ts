import { Injectable } from '@nestjs/common';
import { startOfLocalDay } from '../../core/shared/calendar-date';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import { Jobs } from '../../platform/jobs/jobs';
import type { Principal } from '../../platform/security/principal';
import { checkedRules } from './checked-rules';
import {
  toProgrammeVersionDto,
  toProgrammeVersionHeadDto,
  type Activation,
  type ProgrammeVersionDto,
  type ProgrammeVersionHeadDto,
  type PublishedVersionDto,
} from './dto/programme-version.dto';
import type { CreateProgrammeVersionDto, PutProgrammeVersionDto } from './dto/write-service-programme.dto';
import { ProgrammeActivationService } from './programme-activation.service';
import type { ServiceProgrammeVersion } from './service-programme-version.entity';
import type { ServiceProgramme } from './service-programme.entity';
import {
  concernsAllFleets,
  effectiveInThePast,
  noSuchVersion,
  rulesMissing,
  versionIsPublished,
} from './service-programmes.errors';
import { ServiceProgrammesRepository } from './service-programmes.repository';

@Injectable()
export class ProgrammeVersionsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly programmes: ServiceProgrammesRepository,
    private readonly activation: ProgrammeActivationService,
    private readonly jobs: Jobs,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list(
    { principal }: RequestContext,
    programmeId: string,
    { limit = 50, cursor }: PageQueryDto,
  ): Promise<Page<ProgrammeVersionHeadDto>> {
    const filter = { list: 'programme-versions', organisationId: principal.organisationId, programmeId };
    const after = this.cursors.after(cursor, filter);
    return this.transactions.read(principal, async (tx) => {
      if ((await this.programmes.find(tx, programmeId)) === null) {
        throw notFound('service programme', programmeId);
      }
      const before = after === null ? null : Number(after[0]);
      const rows = await this.programmes.listVersions(tx, programmeId, before, limit);
      return this.cursors.page(rows, limit, filter, (row) => [row.versionNumber], toProgrammeVersionHeadDto);
    });
  }

  get({ principal }: RequestContext, programmeId: string, versionId: string): Promise<ProgrammeVersionDto> {
    return this.transactions.read(principal, async (tx) => {
      const version = await this.programmes.findVersion(tx, programmeId, versionId);
      if (version === null) throw noVersion(versionId);
      return toProgrammeVersionDto(version);
    });
  }

  create(
    context: RequestContext,
    programmeId: string,
    body: CreateProgrammeVersionDto,
  ): Promise<ProgrammeVersionDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const programme = await this.lockProgramme(tx, programmeId);
      const base =
        body.basedOn === undefined ? null : await this.programmes.findVersion(tx, programmeId, body.basedOn);
      if (base === null && body.basedOn !== undefined) throw noSuchVersion(body.basedOn);
      const rules = body.rules ?? base?.rules;
      if (rules === undefined) throw rulesMissing('basedOn, the id of a version to begin with');
      const version = await this.programmes.createDraft(tx, {
        organisationId: principal.organisationId,
        programmeId,
        ...checkedRules(rules, body.severityByDutyClass ?? base?.severityByDutyClass),
        changeNote: body.changeNote,
      });
      await this.touch(tx, programme);
      const answer = toProgrammeVersionDto(version);
      await this.record(tx, principal, 'created', version, { after: answer });
      return answer;
    });
  }

  replace(
    context: RequestContext,
    programmeId: string,
    versionId: string,
    revision: number,
    body: PutProgrammeVersionDto,
  ): Promise<ProgrammeVersionDto> {
    return this.transactions.write(context, async (tx) => {
      const version = await this.lockDraft(tx, programmeId, versionId, revision, 'changed');
      const before = toProgrammeVersionDto(version);
      Object.assign(version, checkedRules(body.rules, body.severityByDutyClass));
      version.changeNote = body.changeNote ?? version.changeNote;
      version.revision += 1;
      const after = toProgrammeVersionDto(await this.programmes.saveVersion(tx, version));
      await this.record(tx, context.principal, 'changed', version, { before, after });
      return after;
    });
  }

  delete(context: RequestContext, programmeId: string, versionId: string, revision: number): Promise<void> {
    return this.transactions.write(context, async (tx) => {
      const programme = await this.lockProgramme(tx, programmeId);
      const version = await this.lockDraft(tx, programmeId, versionId, revision, 'deleted');
      await this.programmes.deleteDraft(tx, version);
      await this.touch(tx, programme);
      await this.record(tx, context.principal, 'deleted', version, {
        before: toProgrammeVersionDto(version),
      });
    });
  }

  publish(
    context: RequestContext,
    programmeId: string,
    versionId: string,
    revision: number,
    effectiveOn: string,
  ): Promise<PublishedVersionDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const programme = await this.lockProgramme(tx, programmeId);
      const draft = await this.lockDraft(tx, programmeId, versionId, revision, 'published again');
      if (await this.programmes.seesSomeFleetsOnly(tx)) throw concernsAllFleets('publishing a version');
      const todayOn = await this.activation.todayOn(tx);
      if (effectiveOn < todayOn) throw effectiveInThePast(effectiveOn, todayOn);
      const before = toProgrammeVersionDto(draft);
      const version = await this.programmes.publish(tx, draft, effectiveOn, principal.actor);
      await this.touch(tx, programme);
      const after = toProgrammeVersionDto(version);
      await this.record(tx, principal, 'published', version, { before, after });
      const activation = await this.activate(tx, principal, programme, version, effectiveOn, todayOn);
      return { ...after, activation };
    });
  }

  private async activate(
    tx: Tx,
    principal: Principal,
    programme: ServiceProgramme,
    version: ServiceProgrammeVersion,
    effectiveOn: string,
    todayOn: string,
  ): Promise<Activation> {
    const { organisationId } = principal;
    if (effectiveOn > todayOn) {
      const zones = await this.programmes.depotZones(tx);
      const starts = (zones.length === 0 ? ['UTC'] : zones).map((zone) => startOfLocalDay(effectiveOn, zone));
      await this.jobs.enqueue(tx, 'activate-programmes', { organisationId }, new Date(Math.min(...starts)));
      return 'waiting';
    }
    if (await this.activation.activateAtOnce(tx, principal, programme, version.id)) return 'in-force';
    await this.jobs.enqueue(tx, 'activate-programmes', { organisationId });
    return 'being-computed';
  }

  private async lockProgramme(tx: Tx, programmeId: string): Promise<ServiceProgramme> {
    const programme = await this.programmes.lock(tx, programmeId);
    if (programme === null) throw notFound('service programme', programmeId);
    return programme;
  }

  private async lockDraft(
    tx: Tx,
    programmeId: string,
    versionId: string,
    revision: number,
    doing: string,
  ): Promise<ServiceProgrammeVersion> {
    const version = await this.programmes.lockVersion(tx, programmeId, versionId);
    if (version === null) throw noVersion(versionId);
    if (version.state !== 'draft') throw versionIsPublished(version.versionNumber, doing);
    expectRevision(version, revision);
    return version;
  }

  // the programme tells its current and its latest version, so its ETag follows them
  private async touch(tx: Tx, programme: ServiceProgramme): Promise<void> {
    programme.revision += 1;
    await this.programmes.save(tx, programme);
  }

  private record(
    tx: Tx,
    principal: Principal,
    action: ActionOn<'service-programme-version'>,
    version: ServiceProgrammeVersion,
    change: { before?: ProgrammeVersionDto; after?: ProgrammeVersionDto },
  ): Promise<void> {
    return this.audit.record(tx, principal, {
      action,
      subjectType: 'service-programme-version',
      subjectId: version.id,
      ...change,
    });
  }
}

function noVersion(versionId: string): Error {
  return notFound('version of this service programme', versionId);
}
