import { Injectable } from '@nestjs/common';
import { dayInterval } from '../../core/shared/day-interval';
import { AuditTrail, type AuditRecord } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import { recordsToCreate, resultsOf } from '../../platform/bulk/planned-row';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import { toOffRoadPeriodDto, type OffRoadPeriodDto } from './dto/off-road-period.dto';
import type { CreateOffRoadPeriodDto } from './dto/write-off-road-period.dto';
import type { OffRoadPeriod } from './off-road-period.entity';
import { offRoadAlready, offRoadPeriodKeyTaken } from './off-road-periods.errors';
import { OffRoadPeriodsRepository } from './off-road-periods.repository';
import { planOffRoadPeriods, type OffRoadPeriodRow, type PlannedPeriod } from './plan-off-road-periods';

@Injectable()
export class OffRoadPeriodsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly offRoadPeriods: OffRoadPeriodsRepository,
    private readonly places: VehiclePlacesService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list(
    { principal }: RequestContext,
    vehicleId: string,
    { limit = 50, cursor }: PageQueryDto,
  ): Promise<Page<OffRoadPeriodDto>> {
    const bound = { list: 'off-road-periods', organisationId: principal.organisationId, vehicleId };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.places.require(tx, vehicleId);
      const seen = after === null ? null : String(after[0]);
      const rows = await this.offRoadPeriods.list(tx, vehicleId, seen, limit);
      return this.cursors.page(rows, limit, bound, ({ fromOn }) => [fromOn], toOffRoadPeriodDto);
    });
  }

  get({ principal }: RequestContext, offRoadPeriodId: string): Promise<OffRoadPeriodDto> {
    return this.transactions.read(principal, async (tx) =>
      toOffRoadPeriodDto(await this.require(tx, offRoadPeriodId)),
    );
  }

  create(
    context: RequestContext,
    vehicleId: string,
    body: CreateOffRoadPeriodDto,
  ): Promise<OffRoadPeriodDto> {
    const { principal } = context;
    const { reason, externalKey = null } = body;
    const { fromOn, untilOn } = dayInterval(body.fromOn, body.untilOn);
    return this.transactions.write(context, async (tx) => {
      const { fleetId } = await this.places.lock(tx, vehicleId);
      const sameKey =
        externalKey === null ? null : await this.offRoadPeriods.findByExternalKey(tx, externalKey);
      if (sameKey !== null) throw offRoadPeriodKeyTaken(externalKey, sameKey.id);
      const overlapping = await this.offRoadPeriods.findOverlapping(tx, vehicleId, fromOn, untilOn);
      if (overlapping !== null) throw offRoadAlready(overlapping);
      const { organisationId } = principal;
      const values = { organisationId, vehicleId, fleetId, fromOn, untilOn, reason, externalKey };
      const period = await onConstraint(() => this.offRoadPeriods.create(tx, values), {
        off_road_periods_external_key_key: () => offRoadPeriodKeyTaken(externalKey),
      });
      const answer = toOffRoadPeriodDto(period);
      await this.dueItems.recompute(tx, principal, [vehicleId]);
      await this.audit.record(tx, principal, { ...subject('created', answer), after: answer });
      return answer;
    });
  }

  delete(context: RequestContext, offRoadPeriodId: string, revision: number): Promise<void> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const { vehicleId } = await this.require(tx, offRoadPeriodId);
      await this.places.lock(tx, vehicleId);
      const period = await this.require(tx, offRoadPeriodId);
      expectRevision(period, revision);
      const before = toOffRoadPeriodDto(period);
      await this.offRoadPeriods.delete(tx, period);
      await this.dueItems.recompute(tx, principal, [vehicleId]);
      await this.audit.record(tx, principal, { ...subject('deleted', before), before });
    });
  }

  /** Records many at once, in the order of the rows. The vehicles are locked, and recomputed, by the caller. */
  async writeBatch(tx: Tx, principal: Principal, rows: OffRoadPeriodRow[]): Promise<BulkResult[]> {
    const places = await this.places.of(
      tx,
      rows.map(({ vehicleId }) => vehicleId),
    );
    const keys = rows.flatMap(({ externalKey }) => externalKey ?? []);
    const stored = await this.offRoadPeriods.findForBatch(tx, [...places.keys()], keys);
    const before = new Map(stored.map((period) => [period, toOffRoadPeriodDto(period)]));
    const plan = planOffRoadPeriods(rows, stored, (vehicleId) => places.has(vehicleId));

    const records: AuditRecord[] = [];
    const updated = stored.filter((period) => isOtherThan(period, before.get(period)));
    for (const period of updated) period.revision += 1;
    for (const period of await this.offRoadPeriods.save(tx, updated)) {
      const after = toOffRoadPeriodDto(period);
      records.push({ ...subject('changed', after), before: before.get(period), after });
    }
    const added = recordsToCreate(plan);
    const withFleets = added.map((row) => ({ ...row, fleetId: places.get(row.vehicleId)?.fleetId ?? '' }));
    const ids = new Map<PlannedPeriod, string>();
    for (const { place, id } of await this.offRoadPeriods.createMany(
      tx,
      principal.organisationId,
      withFleets,
    )) {
      const row = added[place];
      if (row === undefined) continue;
      ids.set(row, id);
      records.push({ ...subject('created', { id, vehicleId: row.vehicleId }), after: { id, ...row } });
    }
    await this.audit.record(tx, principal, records);
    return resultsOf(plan, ids);
  }

  private async require(tx: Tx, offRoadPeriodId: string): Promise<OffRoadPeriod> {
    const period = await this.offRoadPeriods.find(tx, offRoadPeriodId);
    if (period === null) throw notFound('off-road period', offRoadPeriodId);
    return period;
  }
}

function subject(
  action: ActionOn<'off-road-period'>,
  { id, vehicleId }: Pick<OffRoadPeriodDto, 'id' | 'vehicleId'>,
): AuditRecord {
  return { action, subjectType: 'off-road-period', subjectId: id, vehicleId };
}

function isOtherThan(period: OffRoadPeriod, before: OffRoadPeriodDto | undefined): boolean {
  return (
    before !== undefined &&
    (period.fromOn !== before.fromOn || period.untilOn !== before.untilOn || period.reason !== before.reason)
  );
}
