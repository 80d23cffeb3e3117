import { Injectable } from '@nestjs/common';
import {
  learnPrechargeModel,
  type PrechargeLearningRecord,
} from '../../core/precharge/learn-precharge-model';
import { defaultPrechargeModel, type PrechargeModel } from '../../core/precharge/precharge-model';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { refuseKeyOfSomeFleets } from '../../platform/database/fleet-scope';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { bodyError } from '../../platform/errors/coded-error';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import type { RefitPrechargeModelsDto } from './dto/precharge-model-query.dto';
import {
  toPrechargeModelDto,
  type PrechargeModelDto,
  type RefittedPrechargeModelsDto,
} from './dto/precharge-model.dto';
import { PrechargeModelsRepository } from './precharge-models.repository';

const BATCH = 250;

/** The model that forecasts of a type of unit are made with. */
export interface PrechargeModelInForce {
  model: PrechargeModel;
  /** null where the default prior stands because nothing was fitted */
  fittedAt: string | null;
}

@Injectable()
export class PrechargeModelsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly models: PrechargeModelsRepository,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list(
    { principal }: RequestContext,
    { limit = 50, cursor }: PageQueryDto,
  ): Promise<Page<PrechargeModelDto>> {
    const bound = { list: 'precharge-models', organisationId: principal.organisationId };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.models.list(tx, after === null ? null : String(after[0]), limit);
      return this.cursors.page(rows, limit, bound, ({ typeCode }) => [typeCode], toPrechargeModelDto);
    });
  }

  async inForce(tx: Tx, unitTypeId: string): Promise<PrechargeModelInForce> {
    const stored = await this.models.model(tx, unitTypeId);
    return stored === null
      ? { model: defaultPrechargeModel(), fittedAt: null }
      : { model: stored.model, fittedAt: stored.fittedAt.toISOString() };
  }

  refit(
    context: RequestContext,
    { unitTypeId = null }: RefitPrechargeModelsDto,
  ): Promise<RefittedPrechargeModelsDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      await refuseKeyOfSomeFleets(tx, 'what is learnt of a type of unit concerns all of them');
      return this.learn(tx, principal, unitTypeId);
    });
  }

  /**
   * Learns how the units of a type, or of every type, lose gas from all that was measured on them, stores it in the
   * place of what was there, and recomputes the vehicles that have such units. The transaction has to see every
   * fleet.
   */
  async learn(tx: Tx, principal: Principal, unitTypeId: string | null): Promise<RefittedPrechargeModelsDto> {
    const types = await this.models.types(tx, unitTypeId);
    if (unitTypeId !== null && types.length === 0) {
      throw bodyError(
        '#/unitTypeId',
        `There is no type of gas unit ${unitTypeId}.`,
        'give the id of one of your unit types, or leave it out',
      );
    }
    const before = new Map(types.map((type) => [type.unitTypeId, toPrechargeModelDto(type)]));
    const prior = defaultPrechargeModel();
    const learnt: { unitTypeId: string; model: PrechargeModel; learning: PrechargeLearningRecord }[] = [];
    for (const { unitTypeId: id } of types) {
      const { model, record } = learnPrechargeModel(await this.models.records(tx, id), prior);
      learnt.push({ unitTypeId: id, model, learning: record });
      // a large type takes seconds: let other requests in between
      await new Promise((resolve) => setImmediate(resolve));
    }
    await this.models.replace(tx, principal.organisationId, learnt);
    const vehicleIds = await this.models.vehiclesWith(
      tx,
      types.map((type) => type.unitTypeId),
    );
    for (let from = 0; from < vehicleIds.length; from += BATCH) {
      await this.dueItems.recompute(tx, principal, vehicleIds.slice(from, from + BATCH));
    }
    const models = (await this.models.types(tx, unitTypeId)).map(toPrechargeModelDto);
    await this.audit.record(
      tx,
      principal,
      models.map((after) => ({
        action: 'precharge-model-refitted',
        subjectType: 'gas-unit-type',
        subjectId: after.unitTypeId,
        before: before.get(after.unitTypeId),
        after,
      })),
    );
    return { models, recomputedVehicles: vehicleIds.length };
  }
}
