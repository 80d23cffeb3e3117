import { Injectable } from '@nestjs/common';
import type { ServiceProgramme } from '../../core/due/rule';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { Metrics } from '../../platform/observability/metrics';
import type { Principal } from '../../platform/security/principal';
import { computeDueItems, knownProgramme, programmeOf, usageModelLookup } from './due-computation';
import type { UsageModelOf } from './due-input-of';
import type { VehicleDueItemRow } from './due-item-row';
import { DueItemsRepository } from './due-items.repository';
import { itemChanges, type DueItemOfVehicle, type StoredVersion } from './item-changes';
import { withReadings, type AcceptedReading } from './with-readings';
import { judgeWork, type ReportedWork, type WorkJudgement } from './reported-work';
import type { StoredUsageModel, VehicleFilter, VehicleRecords } from './vehicle-records';
import { VehicleRecordsRepository } from './vehicle-records.repository';

const BATCH = 250;
/** While the database writes one batch, the next is computed. */
const BATCHES_AT_ONCE = 3;

/** What the due items of some vehicles are computed from, and what is stored of them. */
export interface Standing {
  records: VehicleRecords[];
  stored: StoredVersion[];
  usageModels: StoredUsageModel[];
}

/** Keeps the stored due items equal to what follows from the records, in the transaction that changes these. */
@Injectable()
export class DueItemsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly dueItems: DueItemsRepository,
    private readonly records: VehicleRecordsRepository,
    private readonly clock: Clock,
    private readonly metrics: Metrics,
  ) {}

  /**
   * Takes the vehicles for the transaction before anything about them is written, so that the computation at
   * the end sees all that was recorded before.
   */
  lockVehicles(tx: Tx, vehicleIds: readonly string[]): Promise<string[]> {
    return this.records.lock(tx, vehicleIds);
  }

  /** Ids of all vehicles with something overdue today. */
  vehiclesOverdue(tx: Tx, filter: { fleetId?: string; depotId?: string }): Promise<string[]> {
    return this.dueItems.vehiclesOverdue(tx, filter, new Date(this.clock.now()).toISOString());
  }

  /** Computes the due items of vehicles again, in the transaction of the write that may have moved them. */
  async recompute(tx: Tx, principal: Principal, vehicleIds: readonly string[]): Promise<void> {
    if (vehicleIds.length === 0) return;
    // sent together: the server works through them in this order, each seeing what was committed before it
    const [, standing] = await Promise.all([
      this.records.lock(tx, vehicleIds),
      this.standing(tx, vehicleIds),
    ]);
    await this.recomputeFrom(tx, principal, standing);
  }

  /** What is recorded of vehicles, those out of service too, and the models fitted to their fleets. */
  async recordsOf(tx: Tx, vehicleIds: readonly string[]): Promise<Pick<Standing, 'records' | 'usageModels'>> {
    const [records, usageModels] = await Promise.all([
      this.records.load(tx, vehicleIds),
      this.records.usageModelsOf(tx, vehicleIds),
    ]);
    return { records, usageModels };
  }

  /** Everything that a computation starts from; the vehicles have to be locked. */
  async standing(tx: Tx, vehicleIds: readonly string[]): Promise<Standing> {
    const [records, stored, usageModels] = await Promise.all([
      this.records.load(tx, vehicleIds),
      this.dueItems.storedVersions(tx, vehicleIds),
      this.records.usageModelsOf(tx, vehicleIds),
    ]);
    return { records, stored, usageModels };
  }

  /**
   * Computes from what was loaded already, with readings that the same transaction is about to store, so that
   * the two can be sent together.
   */
  async recomputeFrom(
    tx: Tx,
    principal: Principal,
    { records, stored, usageModels }: Standing,
    accepted: readonly AcceptedReading[] = [],
  ): Promise<void> {
    const vehicles = inService(records).map((vehicle) => withReadings(vehicle, accepted));
    const programmes = await this.programmesOf(tx, vehicles);
    const computed = computeDueItems(vehicles, programmes, usageModelLookup(usageModels));
    const { added, changed, goneIds } = itemChanges(computed, stored);
    await Promise.all([
      this.dueItems.remove(tx, goneIds),
      this.dueItems.change(tx, changed),
      this.dueItems.add(tx, principal.organisationId, added),
    ]);
    this.metrics.recomputedVehicles.inc(records.length);
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
    let afterId: string | null = null;
    let isAtEnd = false;
    let turn: Promise<unknown> = Promise.resolve();
    const nextBatch = (): Promise<string[]> => {
      const batch = turn.then(async () => {
        if (isAtEnd) return [];
        const ids = await this.transactions.read(principal, (tx) =>
          this.records.vehicleIds(tx, filter, afterId, BATCH),
        );
        isAtEnd = ids.length < BATCH;
        afterId = ids.at(-1) ?? afterId;
        return ids;
      });
      turn = batch.catch(() => undefined);
      return batch;
    };
    const workThrough = async (): Promise<void> => {
      for (let ids = await nextBatch(); ids.length > 0; ids = await nextBatch()) {
        await this.transactions.run(principal, (tx) => this.recompute(tx, principal, ids));
        count += ids.length;
      }
    };
    await Promise.all(Array.from({ length: BATCHES_AT_ONCE }, workThrough));
    return count;
  }

  /** The due items as they would be stored, without storing them. */
  async compute(tx: Tx, records: readonly VehicleRecords[]): Promise<DueItemOfVehicle[]> {
    const [programmes, modelOf] = await Promise.all([
      this.programmesOf(tx, records),
      this.modelsFor(tx, records),
    ]);
    return computeDueItems(records, programmes, modelOf);
  }

  /** What vehicles would owe if they followed other rules; nothing is stored. */
  async computeUnder(
    tx: Tx,
    vehicleIds: readonly string[],
    programme: ServiceProgramme,
  ): Promise<DueItemOfVehicle[]> {
    const records = inService(await this.records.load(tx, vehicleIds));
    const following = records.map((each) => ({ ...each, programmeVersionId: 'under-review' }));
    const programmes = new Map([['under-review', programme]]);
    return computeDueItems(following, programmes, await this.modelsFor(tx, records));
  }

  /** The stored items of vehicles as they read now; one row without an item for a vehicle that has none. */
  stored(tx: Tx, vehicleIds: readonly string[]): Promise<VehicleDueItemRow[]> {
    return this.dueItems.ofVehicles(tx, vehicleIds, new Date(this.clock.now()).toISOString());
  }

  /** From which day the interval of each stored item is counted, by item key; null where from nothing known. */
  async baselines(tx: Tx, vehicleId: string): Promise<Map<string, string | null>> {
    const rows = await this.dueItems.baselines(tx, vehicleId);
    return new Map(rows.map(({ key, on }) => [key, on]));
  }

  /** Ids of vehicles in service, ordered, by what they follow or belong to. */
  vehicleIds(tx: Tx, filter: VehicleFilter, afterId: string | null, limit: number): Promise<string[]> {
    return this.records.vehicleIds(tx, filter, afterId, limit);
  }

  /** Holds work that somebody reports against the vehicle's records; null for a vehicle out of service. */
  async judgeWork(tx: Tx, vehicleId: string, work: ReportedWork): Promise<WorkJudgement | null> {
    const records = inService(await this.records.load(tx, [vehicleId]));
    const [vehicle] = records;
    if (vehicle === undefined) return null;
    const programmes = await this.programmesOf(tx, records);
    return judgeWork(vehicle, programmes.get(vehicle.programmeVersionId ?? '') ?? null, work);
  }

  private async programmesOf(
    tx: Tx,
    records: readonly VehicleRecords[],
  ): Promise<ReadonlyMap<string, ServiceProgramme>> {
    const versionIds = [...new Set(records.flatMap(({ programmeVersionId }) => programmeVersionId ?? []))];
    const unknown = versionIds.filter((id) => knownProgramme(id) === undefined);
    const loaded = unknown.length === 0 ? [] : await this.records.programmeVersions(tx, unknown);
    const programmes = new Map(loaded.map((version) => [version.id, programmeOf(version)]));
    for (const id of versionIds) {
      const known = knownProgramme(id);
      if (known !== undefined) programmes.set(id, known);
    }
    return programmes;
  }

  private async modelsFor(tx: Tx, records: readonly VehicleRecords[]): Promise<UsageModelOf> {
    const vehicleIds = records.map(({ vehicleId }) => vehicleId);
    return usageModelLookup(await this.records.usageModelsOf(tx, vehicleIds));
  }

  private async recomputeWhere(tx: Tx, principal: Principal, filter: VehicleFilter): Promise<void> {
    for (let afterId: string | null = null; ;) {
      const ids = await this.records.vehicleIds(tx, filter, afterId, BATCH);
      await this.recompute(tx, principal, ids);
      if (ids.length < BATCH) return;
      afterId = ids.at(-1) ?? null;
    }
  }
}

function inService(records: readonly VehicleRecords[]): VehicleRecords[] {
  return records.filter(({ retiredOn }) => retiredOn === null);
}
