import { Injectable } from '@nestjs/common';
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
import { toDutyChangeDto, type DutyChangeDto } from './dto/duty-change.dto';
import type { CreateDutyChangeDto } from './dto/write-duty-change.dto';
import type { DutyChange } from './duty-change.entity';
import { changedThatDayAlready, dutyChangeKeyTaken, notYet } from './duty-changes.errors';
import { DutyChangesRepository } from './duty-changes.repository';
import { planDutyChanges, type DutyChangeRow, type PlannedChange } from './plan-duty-changes';

@Injectable()
export class DutyChangesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly dutyChanges: DutyChangesRepository,
    private readonly places: VehiclePlacesService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list(
    { principal }: RequestContext,
    vehicleId: string,
    { limit = 50, cursor }: PageQueryDto,
  ): Promise<Page<DutyChangeDto>> {
    const bound = { list: 'duty-changes', organisationId: principal.organisationId, vehicleId };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.places.require(tx, vehicleId);
      const seen = after === null ? null : String(after[0]);
      const rows = await this.dutyChanges.list(tx, vehicleId, seen, limit);
      return this.cursors.page(rows, limit, bound, ({ fromOn }) => [fromOn], toDutyChangeDto);
    });
  }

  get({ principal }: RequestContext, dutyChangeId: string): Promise<DutyChangeDto> {
    return this.transactions.read(principal, async (tx) =>
      toDutyChangeDto(await this.require(tx, dutyChangeId)),
    );
  }

  create(context: RequestContext, vehicleId: string, body: CreateDutyChangeDto): Promise<DutyChangeDto> {
    const { principal } = context;
    const { fromOn, dutyClass, note = null, externalKey = null } = body;
    return this.transactions.write(context, async (tx) => {
      const place = await this.places.lock(tx, vehicleId);
      const todayOn = this.places.todayOn(place);
      if (fromOn > todayOn) throw notYet(fromOn, todayOn);
      const sameKey = externalKey === null ? null : await this.dutyChanges.findByExternalKey(tx, externalKey);
      if (sameKey !== null) throw dutyChangeKeyTaken(externalKey, sameKey.id);
      const sameDay = await this.dutyChanges.findOfDay(tx, vehicleId, fromOn);
      if (sameDay !== null) throw changedThatDayAlready(sameDay);
      const { organisationId } = principal;
      const { fleetId } = place;
      const change = await onConstraint(
        () =>
          this.dutyChanges.create(tx, {
            organisationId,
            vehicleId,
            fleetId,
            fromOn,
            dutyClass,
            note,
            externalKey,
          }),
        { duty_changes_external_key_key: () => dutyChangeKeyTaken(externalKey) },
      );
      const answer = toDutyChangeDto(change);
      await this.dueItems.recompute(tx, principal, [vehicleId]);
      await this.audit.record(tx, principal, { ...subject('created', answer), after: answer });
      return answer;
    });
  }

  delete(context: RequestContext, dutyChangeId: string, revision: number): Promise<void> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const { vehicleId } = await this.require(tx, dutyChangeId);
      await this.places.lock(tx, vehicleId);
      const change = await this.require(tx, dutyChangeId);
      expectRevision(change, revision);
      const before = toDutyChangeDto(change);
      await this.dutyChanges.delete(tx, change);
      await this.dueItems.recompute(tx, principal, [vehicleId]);
      await this.audit.record(tx, principal, { ...subject('deleted', before), before });
    });
  }

  /** Records many at once, in the order of the rows. The vehicles are locked, and recomputed, by the caller. */
  async writeBatch(tx: Tx, principal: Principal, rows: DutyChangeRow[]): Promise<BulkResult[]> {
    const { organisationId } = principal;
    const places = await this.places.of(
      tx,
      rows.map(({ vehicleId }) => vehicleId),
    );
    const keys = rows.flatMap(({ externalKey }) => externalKey ?? []);
    const stored = await this.dutyChanges.findForBatch(tx, [...places.keys()], keys);
    const before = new Map(stored.map((change) => [change, toDutyChangeDto(change)]));
    const plan = planDutyChanges(rows, stored, (vehicleId) => {
      const place = places.get(vehicleId);
      return place === undefined ? null : this.places.todayOn(place);
    });

    const records: AuditRecord[] = [];
    const updated = stored.filter((change) => isOtherThan(change, before.get(change)));
    for (const change of updated) change.revision += 1;
    for (const change of await this.dutyChanges.save(tx, updated)) {
      const after = toDutyChangeDto(change);
      records.push({ ...subject('changed', after), before: before.get(change), after });
    }
    const added = recordsToCreate(plan);
    const withFleets = added.map((row) => ({ ...row, fleetId: places.get(row.vehicleId)?.fleetId ?? '' }));
    const ids = new Map<PlannedChange, string>();
    for (const { place, id } of await this.dutyChanges.createMany(tx, organisationId, withFleets)) {
      const row = added[place];
      if (row === undefined) continue;
      ids.set(row, id);
      records.push({ ...subject('created', { id, vehicleId: row.vehicleId }), after: { id, ...row } });
    }
    await this.audit.record(tx, principal, records);
    return resultsOf(plan, ids);
  }

  private async require(tx: Tx, dutyChangeId: string): Promise<DutyChange> {
    const change = await this.dutyChanges.find(tx, dutyChangeId);
    if (change === null) throw notFound('duty change', dutyChangeId);
    return change;
  }
}

function subject(
  action: ActionOn<'duty-change'>,
  { id, vehicleId }: Pick<DutyChangeDto, 'id' | 'vehicleId'>,
): AuditRecord {
  return { action, subjectType: 'duty-change', subjectId: id, vehicleId };
}

function isOtherThan(change: DutyChange, before: DutyChangeDto | undefined): boolean {
  return (
    before !== undefined &&
    (change.fromOn !== before.fromOn || change.dutyClass !== before.dutyClass || change.note !== before.note)
  );
}
