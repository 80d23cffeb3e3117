import { Injectable } from '@nestjs/common';
import { calibrateUsageModel } from '../../core/usage/back-test';
import type { UsageRecord } from '../../core/usage/usage-estimate';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { bodyError } from '../../platform/errors/coded-error';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { UsageService } from '../due-items/usage.service';
import { FleetsService } from '../fleets/fleets.service';
import type { ListUsageModelsQueryDto, RefitUsageModelsDto } from './dto/usage-model-query.dto';
import { toUsageModelDto, type RefittedFleetDto, type UsageModelDto } from './dto/usage-model.dto';
import type { UsageModelRecord } from './usage-model-record.entity';
import { UsageModelsRepository, type NewUsageModel } from './usage-models.repository';

@Injectable()
export class UsageModelsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly usageModels: UsageModelsRepository,
    private readonly fleets: FleetsService,
    private readonly usage: UsageService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list(
    { principal }: RequestContext,
    { limit = 50, cursor, fleetId }: ListUsageModelsQueryDto,
  ): Promise<Page<UsageModelDto>> {
    const bound = { list: 'usage-models', organisationId: principal.organisationId, fleetId };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const seen = after === null ? null : ([String(after[0]), String(after[1]), String(after[2])] as const);
      const rows = await this.usageModels.list(tx, { fleetId }, seen === null ? null : [...seen], limit);
      const keyOf = (row: UsageModelRecord): unknown[] => [row.fleetId, row.meter, row.dutyClass];
      return this.cursors.page(rows, limit, bound, keyOf, toUsageModelDto);
    });
  }

  refitFleet(context: RequestContext, { fleetId }: RefitUsageModelsDto): Promise<RefittedFleetDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      if ((await this.fleets.find(tx, fleetId)) === null) {
        throw bodyError('#/fleetId', `There is no fleet ${fleetId}.`, 'give the id of one of your fleets');
      }
      return { fleetId, models: await this.refit(tx, principal, fleetId) };
    });
  }

  /**
   * Fits the model of every meter and duty class of a fleet to the fleet's own history, stores it with its
   * measured coverage in the place of what was there, and recomputes the fleet's due items.
   */
  async refit(tx: Tx, principal: Principal, fleetId: string): Promise<UsageModelDto[]> {
    const { organisationId } = principal;
    const groups = new Map<string, Pick<NewUsageModel, 'meter' | 'dutyClass'> & { records: UsageRecord[] }>();
    for (const { meter, dutyClass, record } of await this.usage.stretchesOfFleet(tx, fleetId)) {
      const key = `${meter} ${dutyClass}`;
      const group = groups.get(key) ?? { meter, dutyClass, records: [] };
      group.records.push(record);
      groups.set(key, group);
    }
    const fitted: NewUsageModel[] = [];
    for (const { meter, dutyClass, records } of groups.values()) {
      const { model, ...backTest } = calibrateUsageModel(records, meter === 'odometer' ? 'km' : 'h');
      fitted.push({ organisationId, fleetId, meter, dutyClass, model, backTest });
      // a large fleet takes seconds: let other requests in between
      await new Promise((resolve) => setImmediate(resolve));
    }
    const stored = await this.usageModels.replace(tx, fleetId, fitted);
    const models = stored.map(toUsageModelDto);
    await this.dueItems.recomputeFleet(tx, principal, fleetId);
    await this.audit.record(tx, principal, {
      action: 'usage-models-refitted',
      subjectType: 'fleet',
      subjectId: fleetId,
      fleetId,
      after: { models },
    });
    return models;
  }
}
