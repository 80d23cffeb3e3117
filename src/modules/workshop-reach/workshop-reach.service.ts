import { Injectable } from '@nestjs/common';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { expectRevision } from '../../platform/http/entity-tag';
import type { RequestContext } from '../../platform/http/request-context';
import { DepotsService } from '../depots/depots.service';
import { WorkshopsService } from '../workshops/workshops.service';
import { toWorkshopReachDto, type WorkshopReachDto } from './dto/workshop-reach.dto';
import type { ReplaceWorkshopReachDto } from './dto/write-workshop-reach.dto';
import { refuseFaultyReach } from './workshop-reach.errors';
import { WorkshopReachRepository, type StoredReach, type Transfer } from './workshop-reach.repository';

export type { Transfer } from './workshop-reach.repository';

@Injectable()
export class WorkshopReachService {
  constructor(
    private readonly transactions: Transactions,
    private readonly reaches: WorkshopReachRepository,
    private readonly depots: DepotsService,
    private readonly workshops: WorkshopsService,
    private readonly audit: AuditTrail,
  ) {}

  get({ principal }: RequestContext, depotId: string): Promise<WorkshopReachDto> {
    return this.transactions.read(principal, async (tx) => {
      await this.depots.require(tx, depotId);
      return toWorkshopReachDto(depotId, await this.stored(tx, depotId));
    });
  }

  replace(
    context: RequestContext,
    depotId: string,
    revision: number,
    { workshops }: ReplaceWorkshopReachDto,
  ): Promise<WorkshopReachDto> {
    const { principal } = context;
    const transfers = workshops.map(({ workshopId, transferMinutes, transferCostMinor }) => ({
      workshopId: workshopId.toLowerCase(),
      transferMinutes,
      transferCostMinor,
    }));
    const ids = transfers.map(({ workshopId }) => workshopId);
    return this.transactions.write(context, async (tx) => {
      const { fleetId } = await this.depots.lock(tx, depotId);
      const stored = await this.stored(tx, depotId);
      expectRevision({ revision: stored?.revision ?? 0 }, revision);
      refuseFaultyReach(ids, await this.workshops.existingIds(tx, ids));
      const { organisationId } = principal;
      await this.reaches.replace(tx, { organisationId, depotId, fleetId, revision: revision + 1 }, transfers);
      const before = toWorkshopReachDto(depotId, stored);
      const after = toWorkshopReachDto(depotId, await this.stored(tx, depotId));
      await this.audit.record(tx, principal, {
        action: 'changed',
        subjectType: 'workshop-reach',
        subjectId: depotId,
        fleetId,
        before,
        after,
      });
      return after;
    });
  }

  /**
   * The workshops that the vehicles of each depot can go to, the nearest first, by the depots' ids; null where nothing
   * is set: every workshop, at no cost. Those that take no work any more are among them. One statement, however many
   * depots there are.
   */
  async ofDepots(tx: Tx, depotIds: readonly string[]): Promise<Map<string, Transfer[] | null>> {
    const stored = await this.reaches.findOfDepots(tx, depotIds);
    const byDepot = new Map(stored.map(({ depotId, workshops }) => [depotId, workshops]));
    return new Map(depotIds.map((depotId) => [depotId, byDepot.get(depotId) ?? null]));
  }

  private async stored(tx: Tx, depotId: string): Promise<StoredReach | null> {
    const [reach] = await this.reaches.findOfDepots(tx, [depotId]);
    return reach ?? null;
  }
}
