import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import { upsertEach, type Keyed } from '../../platform/bulk/upsert-each';
import { refuseKeyOfSomeFleets } from '../../platform/database/fleet-scope';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { applyMergePatch } from '../../platform/http/merge-patch';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { FleetLine } from './dto/fleet-line.dto';
import { toFleetDto, type FleetDto } from './dto/fleet.dto';
import type { CreateFleetDto, UpdateFleetDto } from './dto/write-fleet.dto';
import type { Fleet } from './fleet.entity';
import { fleetKeyTaken, noSuchProgramme } from './fleets.errors';
import { FleetsRepository } from './fleets.repository';

@Injectable()
export class FleetsService {
  /** how a line of an imported file is checked */
  readonly lineClass = FleetLine;

  constructor(
    private readonly transactions: Transactions,
    private readonly fleets: FleetsRepository,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list({ principal }: RequestContext, { limit = 50, cursor }: PageQueryDto): Promise<Page<FleetDto>> {
    const filter = { list: 'fleets', organisationId: principal.organisationId };
    const after = this.cursors.after(cursor, filter);
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.fleets.list(tx, after === null ? null : String(after[0]), limit);
      return this.cursors.page(rows, limit, filter, (row) => [row.id], toFleetDto);
    });
  }

  get({ principal }: RequestContext, fleetId: string): Promise<FleetDto> {
    return this.transactions.read(principal, async (tx) => {
      const fleet = await this.fleets.find(tx, fleetId);
      if (fleet === null) throw notFound('fleet', fleetId);
      return toFleetDto(fleet);
    });
  }

  create(context: RequestContext, body: CreateFleetDto): Promise<FleetDto> {
    return this.transactions.write(context, (tx) => this.add(tx, context.principal, body));
  }

  update(
    context: RequestContext,
    fleetId: string,
    revision: number,
    body: UpdateFleetDto,
  ): Promise<FleetDto> {
    return this.transactions.write(context, async (tx) => {
      const fleet = await this.fleets.lock(tx, fleetId);
      if (fleet === null) throw notFound('fleet', fleetId);
      expectRevision(fleet, revision);
      return this.change(tx, context.principal, fleet, body);
    });
  }

  /** Adds or changes fleets by their keys, each on its own, and answers what became of them, in their order. */
  writeBatch(tx: Tx, principal: Principal, rows: readonly Keyed<CreateFleetDto>[]): Promise<BulkResult[]> {
    return upsertEach(rows, {
      find: (externalKey) => this.fleets.lockByExternalKey(tx, externalKey),
      add: (row) => this.add(tx, principal, row),
      change: (fleet, row) => this.change(tx, principal, fleet, row),
    });
  }

  private async add(tx: Tx, principal: Principal, body: CreateFleetDto): Promise<FleetDto> {
    await refuseKeyOfSomeFleets(tx, 'it would not see the new one');
    const fleet = await onConstraint(
      () =>
        this.fleets.create(tx, {
          organisationId: principal.organisationId,
          externalKey: body.externalKey ?? null,
          name: body.name,
          serviceProgrammeId: body.serviceProgrammeId ?? null,
        }),
      {
        fleets_external_key_key: () => fleetKeyTaken(body.externalKey),
        fleets_service_programme_fkey: () => noSuchProgramme(body.serviceProgrammeId),
      },
    );
    const answer = toFleetDto(fleet);
    await this.audit.record(tx, principal, {
      action: 'created',
      subjectType: 'fleet',
      subjectId: fleet.id,
      fleetId: fleet.id,
      after: answer,
    });
    return answer;
  }

  private async change(tx: Tx, principal: Principal, fleet: Fleet, body: UpdateFleetDto): Promise<FleetDto> {
    const before = toFleetDto(fleet);
    const changed = applyMergePatch<Fleet>(fleet, body);
    if (changed.length === 0) return before;
    fleet.revision += 1;
    await onConstraint(() => this.fleets.save(tx, fleet), {
      fleets_external_key_key: () => fleetKeyTaken(body.externalKey),
      fleets_service_programme_fkey: () => noSuchProgramme(body.serviceProgrammeId),
    });
    if (changed.includes('serviceProgrammeId')) await this.dueItems.recomputeFleet(tx, principal, fleet.id);
    const after = toFleetDto(fleet);
    await this.audit.record(tx, principal, {
      action: 'changed',
      subjectType: 'fleet',
      subjectId: fleet.id,
      fleetId: fleet.id,
      before,
      after,
    });
    return after;
  }

  find(tx: Tx, fleetId: string): Promise<Fleet | null> {
    return this.fleets.find(tx, fleetId);
  }

  findByExternalKeys(tx: Tx, externalKeys: readonly string[]): Promise<Fleet[]> {
    return this.fleets.findByExternalKeys(tx, externalKeys);
  }
}
