import { Injectable } from '@nestjs/common';
import { effectOfWork, type OwedItem } from '../../core/due/effect-of-work';
import type { TestLimits } from '../../core/due/test-limits';
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
import { HoldStatusService } from '../due-items/hold-status.service';
import { UnitRecordsService } from '../due-items/unit-records.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import { GaugesService } from '../gauges/gauges.service';
import { SystemTestLine } from './dto/system-test-line.dto';
import type { ListSystemTestsQueryDto } from './dto/system-test-query.dto';
import {
  toSystemTestDto,
  type HoldAfterTestDto,
  type RecordedSystemTestDto,
  type SystemTestDto,
} from './dto/system-test.dto';
import type { CreateSystemTestDto } from './dto/write-system-test.dto';
import type { SystemTestTask } from '../../core/tests/system-test';
import { planSystemTests, recordedTest, type TestSurroundings } from './plan-system-tests';
import type { RecordedTest, SystemTestRow, TestedVehicle } from './recorded-test';
import type { SystemTest } from './system-test.entity';
import { testKeyTaken, testRefused, testVoidedAlready } from './system-tests.errors';
import { SystemTestsRepository } from './system-tests.repository';
import { testCautions } from './test-cautions';

@Injectable()
export class SystemTestsService {
  /** how a line of an imported file is checked */
  readonly lineClass = SystemTestLine;

  constructor(
    private readonly transactions: Transactions,
    private readonly tests: SystemTestsRepository,
    private readonly places: VehiclePlacesService,
    private readonly dueItems: DueItemsService,
    private readonly holds: HoldStatusService,
    private readonly unitRecords: UnitRecordsService,
    private readonly gauges: GaugesService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  list(
    { principal }: RequestContext,
    vehicleId: string,
    { limit = 50, cursor, ...filter }: ListSystemTestsQueryDto,
  ): Promise<Page<SystemTestDto>> {
    const { organisationId } = principal;
    const bound = { list: 'system-tests', organisationId, vehicleId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.places.require(tx, vehicleId);
      const seen = after === null ? null : { doneAt: String(after[0]), id: String(after[1]) };
      const rows = await this.tests.list(tx, vehicleId, filter, seen, limit);
      return this.cursors.page(
        rows,
        limit,
        bound,
        ({ doneAt, id }) => [doneAt.toISOString(), id],
        toSystemTestDto,
      );
    });
  }

  get({ principal }: RequestContext, testId: string): Promise<SystemTestDto> {
    return this.transactions.read(principal, async (tx) => toSystemTestDto(await this.require(tx, testId)));
  }

  create(
    context: RequestContext,
    vehicleId: string,
    body: CreateSystemTestDto,
  ): Promise<RecordedSystemTestDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      await this.places.lock(tx, vehicleId);
      const row: SystemTestRow = { ...body, vehicleId };
      const surroundings = await this.surroundings(tx, [row]);
      const vehicle = surroundings.vehicles.get(vehicleId);
      if (vehicle === undefined) throw notFound('vehicle', vehicleId);
      const planned = recordedTest(row, 0, surroundings);
      if ('errors' in planned) throw testRefused(planned.errors);
      const before = await this.owed(tx, vehicleId);
      const test = await onConstraint(() => this.tests.create(tx, principal.organisationId, planned.test), {
        system_tests_external_key_key: () => testKeyTaken(planned.test.externalKey),
      });
      await this.dueItems.recompute(tx, principal, [vehicleId]);
      const { clears, raises } = effectOfWork(before, await this.owed(tx, vehicleId), test.id);
      const recorded = toSystemTestDto(test);
      await this.audit.record(tx, principal, { ...subject('created', test), after: recorded });
      const cautions = testCautions(body.task, vehicle.layout);
      return { ...recorded, clears, raises, cautions, hold: await this.holdOf(tx, vehicleId) };
    });
  }

  /** A test recorded by mistake stays on file and counts no more. */
  void(context: RequestContext, testId: string, revision: number, reason: string): Promise<SystemTestDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const { vehicleId } = await this.require(tx, testId);
      await this.places.lock(tx, vehicleId);
      // read again: what was seen before the vehicle was taken may have changed
      const test = await this.require(tx, testId);
      if (test.voidedAt !== null) throw testVoidedAlready(test.voidedAt.toISOString());
      expectRevision(test, revision);
      const before = toSystemTestDto(test);
      voidRecord(test, principal.actor, reason, this.clock.now());
      const after = toSystemTestDto(await this.tests.save(tx, test));
      await this.dueItems.recompute(tx, principal, [vehicleId]);
      await this.audit.record(tx, principal, { ...subject('voided', test), before, after });
      return after;
    });
  }

  /** Records many at once, in the order of the rows. The vehicles are locked, and recomputed, by the caller. */
  async writeBatch(tx: Tx, principal: Principal, rows: SystemTestRow[]): Promise<BulkResult[]> {
    const surroundings = await this.surroundings(tx, rows);
    const stored = await this.tests.findForBatch(tx, rows);
    const before = new Map(stored.map((test) => [test, toSystemTestDto(test)]));
    const plan = planSystemTests(rows, stored, surroundings);

    const corrected = new Set(
      plan.flatMap((row) => (row.outcome === 'updated' && 'revision' in row.record ? [row.record] : [])),
    );
    const records: AuditRecord[] = [...corrected].map((test) => {
      test.revision += 1;
      return { ...subject('changed', test), before: before.get(test), after: toSystemTestDto(test) };
    });
    await this.tests.updateMany(tx, [...corrected]);

    const added = recordsToCreate(plan);
    const ids = new Map<RecordedTest, string>();
    if (added.length > 0) {
      for (const { place, id } of await this.tests.createMany(tx, principal.organisationId, added)) {
        const test = added[place];
        if (test === undefined) continue;
        ids.set(test, id);
        records.push({ ...subject('created', { id, vehicleId: test.vehicleId }), after: { id, ...test } });
      }
    }
    await this.audit.record(tx, principal, records);
    return resultsOf(plan, ids);
  }

  private async surroundings(tx: Tx, rows: readonly SystemTestRow[]): Promise<TestSurroundings> {
    const vehicles = await this.tests.vehicles(tx, [...new Set(rows.map(({ vehicleId }) => vehicleId))]);
    const gauges = await this.gauges.findByIds(
      tx,
      rows.flatMap(({ gaugeId }) => gaugeId ?? []),
    );
    const accumulators = await this.tests.mainAccumulators(tx, rows);
    // vehicles that follow the same programme are judged alike
    const limits = new Map<string, TestLimits>();
    const keyOf = ({ programmeVersionId }: TestedVehicle, task: SystemTestTask): string =>
      `${programmeVersionId ?? ''} ${task}`;
    for (const { vehicleId, task } of rows) {
      const vehicle = vehicles.get(vehicleId);
      if (vehicle === undefined || limits.has(keyOf(vehicle, task))) continue;
      limits.set(keyOf(vehicle, task), await this.unitRecords.testLimitsOf(tx, vehicleId, task));
    }
    return {
      now: this.clock.now(),
      vehicles,
      gauges,
      limitsOf: (vehicle, task) => limits.get(keyOf(vehicle, task)) as TestLimits,
      mainAccumulatorOf: (place) => accumulators.get(place) ?? null,
    };
  }

  private async holdOf(tx: Tx, vehicleId: string): Promise<HoldAfterTestDto> {
    const [hold] = await this.holds.statusOf(tx, [vehicleId]);
    if (hold === undefined) throw notFound('vehicle', vehicleId);
    return { onHold: hold.status.onHold, reasons: hold.status.reasons.map(({ sentence }) => sentence) };
  }

  private async owed(tx: Tx, vehicleId: string): Promise<OwedItem[]> {
    return (await this.dueItems.stored(tx, [vehicleId])).flatMap(({ details }) => details ?? []);
  }

  private async require(tx: Tx, testId: string): Promise<SystemTest> {
    const test = await this.tests.find(tx, testId);
    if (test === null) throw notFound('system test', testId);
    return test;
  }
}

function subject(
  action: ActionOn<'system-test'>,
  { id, vehicleId }: Pick<SystemTest, 'id' | 'vehicleId'>,
): AuditRecord {
  return { action, subjectType: 'system-test', subjectId: id, vehicleId };
}
