import { Injectable } from '@nestjs/common';
import { explain } from '../../core/due/explain';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import { Metrics } from '../../platform/observability/metrics';
import type { Principal } from '../../platform/security/principal';
import type { ServiceProgramme } from '../../core/due/rule';
import { computeDueItems, programmeOf, usageModelLookup } from './due-computation';
import type { UsageModelOf } from './due-input-of';
import type { VehicleDueItemRow } from './due-item-row';
import { judgeWork, type ReportedWork, type WorkJudgement } from './reported-work';
import { DueItemsRepository, itemsOfVehicle, sortKeyOf, type DueItemOfVehicle } from './due-items.repository';
import {
  toDueItemDto,
  toFleetDueItemDto,
  type ExplainedDueItemDto,
  type FleetDueItemDto,
  type VehicleDueItemsDto,
} from './dto/due-item.dto';
import type { ListDueItemsQueryDto } from './dto/due-item-query.dto';
import { HoldStatusService } from './hold-status.service';
import {
  VehicleRecordsRepository,
  type VehicleFilter,
  type VehicleRecords,
} from './vehicle-records.repository';

const BATCH = 500;

@Injectable()
export class DueItemsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly dueItems: DueItemsRepository,
    private readonly records: VehicleRecordsRepository,
    private readonly holds: HoldStatusService,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
    private readonly metrics: Metrics,
  ) {}

  async ofVehicle({ principal }: RequestContext, vehicleId: string): Promise<VehicleDueItemsDto> {
    const rows = await this.transactions.readRows(principal, itemsOfVehicle(vehicleId, this.nowAt()));
    const [first] = rows;
    if (first === undefined) throw notFound('vehicle', vehicleId);
    const items = rows.flatMap((row) => (row.id === null ? [] : [toDueItemDto(row)]));
    return { vehicleId, zone: first.zone, todayOn: first.todayOn, items };
  }

  list({ principal }: RequestContext, query: ListDueItemsQueryDto): Promise<Page<FleetDueItemDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'due-items', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const seen = after === null ? null : { dueOn: String(after[0]), id: String(after[1]) };
      const { onHold, ...rest } = filter;
      const held =
        onHold === undefined ? null : { is: onHold, vehicleIds: await this.holds.vehiclesOnHold(tx, filter) };
      const rows = await this.dueItems.list(tx, { ...rest, held }, this.nowAt(), seen, limit);
      return this.cursors.page(rows, limit, bound, sortKeyOf, toFleetDueItemDto);
    });
  }

  get({ principal }: RequestContext, dueItemId: string): Promise<ExplainedDueItemDto> {
    return this.transactions.read(principal, async (tx) => {
      const row = await this.dueItems.find(tx, dueItemId, this.nowAt());
      if (row === null) throw notFound('due item', dueItemId);
      const { reasoning } = row;
      return { ...toFleetDueItemDto(row), reasoning, explanation: explain({ ...row.details, reasoning }) };
    });
  }

  /**
   * Takes the vehicles for the transaction before anything about them is written, so that the computation at
   * the end sees all that was recorded before.
   */
  lockVehicles(tx: Tx, vehicleIds: readonly string[]): Promise<string[]> {
    return this.records.lock(tx, vehicleIds);
  }

  /** Computes the due items of vehicles again, in the transaction of the write that may have moved them. */
  async recompute(tx: Tx, principal: Principal, vehicleIds: readonly string[]): Promise<void> {
    await this.records.lock(tx, vehicleIds);
    const items = await this.compute(tx, await this.records.load(tx, vehicleIds));
    await this.dueItems.replace(tx, principal.organisationId, vehicleIds, items);
    this.metrics.recomputedVehicles.inc(vehicleIds.length);
  }

  recomputeDepot(tx: Tx, principal: Principal, depotId: string): Promise<void> {
    return this.recomputeWhere(tx, principal, { depotId });
  }

  recomputeFleet(tx: Tx, principal: Principal, fleetId: string): Promise<void> {
    return this.recomputeWhere(tx, principal, { fleetId });
  }

  /**
   * Computes a whole organisation, or what follows one programme, in transactions of a batch each, so that
   * nobody waits long for a vehicle. Answers the number of vehicles.
   */
  async recomputeInBatches(principal: Principal, filter: VehicleFilter = {}): Promise<number> {
    let count = 0;
    for (let afterId: string | null = null; ;) {
      const ids = await this.transactions.run(principal, async (tx) => {
        const batch = await this.records.vehicleIds(tx, filter, afterId, BATCH);
        await this.recompute(tx, principal, batch);
        return batch;
      });
      count += ids.length;
      if (ids.length < BATCH) return count;
      afterId = ids.at(-1) ?? null;
    }
  }

  /** The due items as they would be stored, without storing them. */
  async compute(tx: Tx, records: readonly VehicleRecords[]): Promise<DueItemOfVehicle[]> {
    const versionIds = [...new Set(records.flatMap(({ programmeVersionId }) => programmeVersionId ?? []))];
    const versions = await this.records.programmeVersions(tx, versionIds);
    const programmes = new Map(versions.map((version) => [version.id, programmeOf(version)]));
    return computeDueItems(records, programmes, await this.modelsFor(tx, records));
  }

  /** What vehicles would owe if they followed other rules; nothing is stored. */
  async computeUnder(
    tx: Tx,
    vehicleIds: readonly string[],
    programme: ServiceProgramme,
  ): Promise<DueItemOfVehicle[]> {
    const records = await this.records.load(tx, vehicleIds);
    const following = records.map((each) => ({ ...each, programmeVersionId: 'under-review' }));
    const programmes = new Map([['under-review', programme]]);
    return computeDueItems(following, programmes, await this.modelsFor(tx, records));
  }

  /** The stored items of vehicles as they read now; one row without an item for a vehicle that has none. */
  stored(tx: Tx, vehicleIds: readonly string[]): Promise<VehicleDueItemRow[]> {
    return this.dueItems.ofVehicles(tx, vehicleIds, this.nowAt());
  }

  /** Ids of vehicles in service, ordered, by what they follow or belong to. */
  vehicleIds(tx: Tx, filter: VehicleFilter, afterId: string | null, limit: number): Promise<string[]> {
    return this.records.vehicleIds(tx, filter, afterId, limit);
  }

  /** Holds work that somebody reports against the vehicle's records; null for a vehicle out of service. */
  async judgeWork(tx: Tx, vehicleId: string, work: ReportedWork): Promise<WorkJudgement | null> {
    const [records] = await this.records.load(tx, [vehicleId]);
    if (records === undefined) return null;
    const versionIds = records.programmeVersionId === null ? [] : [records.programmeVersionId];
    const [version] = await this.records.programmeVersions(tx, versionIds);
    return judgeWork(records, version === undefined ? null : programmeOf(version), work);
  }

  private async modelsFor(tx: Tx, records: readonly VehicleRecords[]): Promise<UsageModelOf> {
    const fleetIds = [...new Set(records.map(({ fleetId }) => fleetId))];
    return usageModelLookup(await this.records.usageModels(tx, fleetIds));
  }

  private async recomputeWhere(tx: Tx, principal: Principal, filter: VehicleFilter): Promise<void> {
    for (let afterId: string | null = null; ;) {
      const ids = await this.records.vehicleIds(tx, filter, afterId, BATCH);
      await this.recompute(tx, principal, ids);
      if (ids.length < BATCH) return;
      afterId = ids.at(-1) ?? null;
    }
  }

  private nowAt(): string {
    return new Date(this.clock.now()).toISOString();
  }
}
