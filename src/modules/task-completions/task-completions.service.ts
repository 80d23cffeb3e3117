import { Injectable } from '@nestjs/common';
import { effectOfWork, type OwedItem } from '../../core/due/effect-of-work';
import { AuditTrail, type AuditRecord } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import { recordsToCreate, resultsOf } from '../../platform/bulk/planned-row';
import { Clock } from '../../platform/clock/clock';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { voidRecord } from '../../platform/database/voidable-record';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import type { CompletedWork } from './completed-work';
import { completionWarnings } from './completion-warnings';
import type { ListTaskCompletionsQueryDto } from './dto/task-completion-query.dto';
import {
  toTaskCompletionDto,
  type RecordedTaskCompletionDto,
  type TaskCompletionDto,
} from './dto/task-completion.dto';
import type { CreateTaskCompletionDto } from './dto/write-task-completion.dto';
import { completedWork, planTaskCompletions, type TaskCompletionRow } from './plan-task-completions';
import type { TaskCompletion } from './task-completion.entity';
import {
  completionKeyTaken,
  dayError,
  refusedDay,
  unitWithoutValue,
  voidedAlready,
} from './task-completions.errors';
import { TaskCompletionsRepository } from './task-completions.repository';

@Injectable()
export class TaskCompletionsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly completions: TaskCompletionsRepository,
    private readonly places: VehiclePlacesService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  list(
    { principal }: RequestContext,
    vehicleId: string,
    { limit = 50, cursor, ...filter }: ListTaskCompletionsQueryDto,
  ): Promise<Page<TaskCompletionDto>> {
    const { organisationId } = principal;
    const bound = { list: 'task-completions', organisationId, vehicleId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.places.require(tx, vehicleId);
      const seen = after === null ? null : { doneOn: String(after[0]), id: String(after[1]) };
      const rows = await this.completions.list(tx, vehicleId, filter, seen, limit);
      return this.cursors.page(rows, limit, bound, (row) => [row.doneOn, row.id], toTaskCompletionDto);
    });
  }

  get({ principal }: RequestContext, completionId: string): Promise<TaskCompletionDto> {
    return this.transactions.read(principal, async (tx) =>
      toTaskCompletionDto(await this.require(tx, completionId)),
    );
  }

  create(
    context: RequestContext,
    vehicleId: string,
    body: CreateTaskCompletionDto,
  ): Promise<RecordedTaskCompletionDto> {
    const { principal } = context;
    const valueGiven = (body.odometerValue ?? null) !== null;
    if (!valueGiven && body.odometerUnit !== undefined) throw unitWithoutValue();
    return this.transactions.write(context, async (tx) => {
      const place = await this.places.lock(tx, vehicleId);
      const vehicle = (await this.completions.vehicles(tx, [vehicleId])).get(vehicleId);
      if (vehicle === undefined) throw notFound('vehicle', vehicleId);
      const wrongDay = dayError(body.doneOn, this.places.todayOn(place), vehicle.inServiceOn);
      if (wrongDay !== null) throw refusedDay(wrongDay);
      const work = completedWork({ ...body, vehicleId }, vehicle);
      const warnings = completionWarnings(work, await this.dueItems.judgeWork(tx, vehicleId, work));
      const before = await this.owed(tx, vehicleId);
      const { organisationId } = principal;
      const completion = await onConstraint(
        () => this.completions.create(tx, { ...work, organisationId, fleetId: vehicle.fleetId }),
        { task_completions_external_key_key: () => completionKeyTaken(work.externalKey) },
      );
      await this.dueItems.recompute(tx, principal, [vehicleId]);
      const { clears, raises } = effectOfWork(before, await this.owed(tx, vehicleId), completion.id);
      const recorded = toTaskCompletionDto(completion);
      await this.audit.record(tx, principal, { ...subject('created', completion), after: recorded });
      return { ...recorded, clears, raises, warnings };
    });
  }

  /** A completion recorded by mistake stays on file and counts no more. */
  void(
    context: RequestContext,
    completionId: string,
    revision: number,
    reason: string,
  ): Promise<TaskCompletionDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const { vehicleId } = await this.require(tx, completionId);
      await this.places.lock(tx, vehicleId);
      // read again: what was seen before the vehicle was taken may have changed
      const completion = await this.require(tx, completionId);
      if (completion.voidedAt !== null) throw voidedAlready(completion.voidedAt.toISOString());
      expectRevision(completion, revision);
      const before = toTaskCompletionDto(completion);
      voidRecord(completion, principal.actor, reason, this.clock.now());
      const after = toTaskCompletionDto(await this.completions.save(tx, completion));
      await this.dueItems.recompute(tx, principal, [vehicleId]);
      await this.audit.record(tx, principal, { ...subject('voided', completion), before, after });
      return after;
    });
  }

  /** Records many at once, in the order of the rows. The vehicles are locked, and recomputed, by the caller. */
  async writeBatch(tx: Tx, principal: Principal, rows: TaskCompletionRow[]): Promise<BulkResult[]> {
    const vehicles = await this.completions.vehicles(tx, [...new Set(rows.map((row) => row.vehicleId))]);
    const stored = await this.completions.findForBatch(tx, rows);
    const before = new Map(stored.map((completion) => [completion, toTaskCompletionDto(completion)]));
    const plan = planTaskCompletions(rows, stored, vehicles, (vehicle) => this.places.todayOn(vehicle));

    const corrected = new Set(
      plan.flatMap((row) => (row.outcome === 'updated' && 'revision' in row.record ? [row.record] : [])),
    );
    const records: AuditRecord[] = [...corrected].map((completion) => {
      completion.revision += 1;
      const after = toTaskCompletionDto(completion);
      return { ...subject('changed', completion), before: before.get(completion), after };
    });
    await this.completions.updateMany(tx, [...corrected]);

    const added = recordsToCreate(plan);
    const withFleets = added.map((work) => ({
      ...work,
      fleetId: vehicles.get(work.vehicleId)?.fleetId ?? '',
    }));
    const ids = new Map<CompletedWork, string>();
    if (added.length > 0) {
      for (const { place, id } of await this.completions.createMany(
        tx,
        principal.organisationId,
        withFleets,
      )) {
        const work = added[place];
        if (work === undefined) continue;
        ids.set(work, id);
        records.push({ ...subject('created', { id, vehicleId: work.vehicleId }), after: { id, ...work } });
      }
    }
    await this.audit.record(tx, principal, records);
    return resultsOf(plan, ids);
  }

  private async owed(tx: Tx, vehicleId: string): Promise<OwedItem[]> {
    return (await this.dueItems.stored(tx, [vehicleId])).flatMap(({ details }) => details ?? []);
  }

  private async require(tx: Tx, completionId: string): Promise<TaskCompletion> {
    const completion = await this.completions.find(tx, completionId);
    if (completion === null) throw notFound('completed task', completionId);
    return completion;
  }
}

function subject(
  action: ActionOn<'task-completion'>,
  { id, vehicleId }: Pick<TaskCompletion, 'id' | 'vehicleId'>,
): AuditRecord {
  return { action, subjectType: 'task-completion', subjectId: id, vehicleId };
}
