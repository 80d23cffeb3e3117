import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import { upsertEach, type Keyed } from '../../platform/bulk/upsert-each';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { bodyError, notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { applyMergePatch } from '../../platform/http/merge-patch';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { FleetsService } from '../fleets/fleets.service';
import type { Depot } from './depot.entity';
import { depotKeyTaken, depotOfAnotherFleet } from './depots.errors';
import { DepotsRepository } from './depots.repository';
import { DepotLine } from './dto/depot-line.dto';
import type { ListDepotsQueryDto } from './dto/depot-params.dto';
import { toDepotDto, type DepotDto } from './dto/depot.dto';
import type { CreateDepotDto, UpdateDepotDto } from './dto/write-depot.dto';

@Injectable()
export class DepotsService {
  /** how a line of an imported file is checked */
  readonly lineClass = DepotLine;

  constructor(
    private readonly transactions: Transactions,
    private readonly depots: DepotsRepository,
    private readonly fleets: FleetsService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list(
    { principal }: RequestContext,
    { limit = 50, cursor, fleetId }: ListDepotsQueryDto,
  ): Promise<Page<DepotDto>> {
    const filter = { list: 'depots', organisationId: principal.organisationId, fleetId };
    const after = this.cursors.after(cursor, filter);
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.depots.list(tx, { fleetId }, after === null ? null : String(after[0]), limit);
      return this.cursors.page(rows, limit, filter, (row) => [row.id], toDepotDto);
    });
  }

  get({ principal }: RequestContext, depotId: string): Promise<DepotDto> {
    return this.transactions.read(principal, async (tx) => toDepotDto(await this.require(tx, depotId)));
  }

  create(context: RequestContext, body: CreateDepotDto): Promise<DepotDto> {
    return this.transactions.write(context, (tx) => this.add(tx, context.principal, body));
  }

  update(
    context: RequestContext,
    depotId: string,
    revision: number,
    body: UpdateDepotDto,
  ): Promise<DepotDto> {
    return this.transactions.write(context, async (tx) => {
      const depot = await this.lock(tx, depotId);
      expectRevision(depot, revision);
      return this.change(tx, context.principal, depot, body);
    });
  }

  /** Adds or changes depots by their keys, each on its own, and answers what became of them, in their order. */
  writeBatch(tx: Tx, principal: Principal, rows: readonly Keyed<CreateDepotDto>[]): Promise<BulkResult[]> {
    return upsertEach(rows, {
      find: (externalKey) => this.depots.lockByExternalKey(tx, externalKey),
      add: (row) => this.add(tx, principal, row),
      change: (depot, { fleetId, ...row }) => {
        if (depot.fleetId !== fleetId) throw depotOfAnotherFleet(row.externalKey);
        return this.change(tx, principal, depot, row);
      },
    });
  }

  private async add(tx: Tx, principal: Principal, body: CreateDepotDto): Promise<DepotDto> {
    if ((await this.fleets.find(tx, body.fleetId)) === null) {
      throw bodyError('#/fleetId', `There is no fleet ${body.fleetId}.`, 'give the id of one of your fleets');
    }
    const depot = await onConstraint(
      () =>
        this.depots.create(tx, {
          organisationId: principal.organisationId,
          fleetId: body.fleetId,
          externalKey: body.externalKey ?? null,
          name: body.name,
          zone: body.zone,
        }),
      { depots_external_key_key: () => depotKeyTaken(body.externalKey) },
    );
    const answer = toDepotDto(depot);
    await this.audit.record(tx, principal, {
      action: 'created',
      subjectType: 'depot',
      subjectId: depot.id,
      fleetId: depot.fleetId,
      after: answer,
    });
    return answer;
  }

  private async change(tx: Tx, principal: Principal, depot: Depot, body: UpdateDepotDto): Promise<DepotDto> {
    const before = toDepotDto(depot);
    const changed = applyMergePatch<Depot>(depot, body);
    if (changed.length === 0) return before;
    depot.revision += 1;
    await onConstraint(() => this.depots.save(tx, depot), {
      depots_external_key_key: () => depotKeyTaken(body.externalKey),
    });
    // another zone begins its days at other instants, so every date of the depot's vehicles may move
    if (changed.includes('zone')) await this.dueItems.recomputeDepot(tx, principal, depot.id);
    const after = toDepotDto(depot);
    await this.audit.record(tx, principal, {
      action: 'changed',
      subjectType: 'depot',
      subjectId: depot.id,
      fleetId: depot.fleetId,
      before,
      after,
    });
    return after;
  }

  find(tx: Tx, depotId: string): Promise<Depot | null> {
    return this.depots.find(tx, depotId);
  }

  findByExternalKeys(tx: Tx, externalKeys: readonly string[]): Promise<Depot[]> {
    return this.depots.findByExternalKeys(tx, externalKeys);
  }

  /** @throws CodedError `not-found`, also for a depot of somebody else */
  async require(tx: Tx, depotId: string): Promise<Depot> {
    const depot = await this.depots.find(tx, depotId);
    if (depot === null) throw notFound('depot', depotId);
    return depot;
  }

  /**
   * Takes the depot for the transaction, before anything about it is read that the write depends on.
   *
   * @throws CodedError `not-found`, also for a depot of somebody else
   */
  async lock(tx: Tx, depotId: string): Promise<Depot> {
    const depot = await this.depots.lock(tx, depotId);
    if (depot === null) throw notFound('depot', depotId);
    return depot;
  }
}
