import { Injectable } from '@nestjs/common';
import { AuditTrail, type AuditRecord } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import { recordsToCreate, resultsOf } from '../../platform/bulk/planned-row';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { applyMergePatch } from '../../platform/http/merge-patch';
import { Cursors, type Page } from '../../platform/http/page';
import type { PageQueryDto } from '../../platform/http/page-query.dto';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import { OdometerReadingsService } from '../odometer-readings/odometer-readings.service';
import {
  toOdometerReplacementDto,
  toReadingToDecideAgainDto,
  type OdometerReplacementDto,
  type RecordedReplacementDto,
} from './dto/odometer-replacement.dto';
import type {
  CreateOdometerReplacementDto,
  UpdateOdometerReplacementDto,
} from './dto/write-odometer-replacement.dto';
import type { OdometerReplacement } from './odometer-replacement.entity';
import {
  readingsRestOnIt,
  replacedThenAlready,
  replacementKeyTaken,
  replacementRefused,
  unitsOfAnotherMeter,
} from './odometer-replacements.errors';
import { OdometerReplacementsRepository, type NewReplacement } from './odometer-replacements.repository';
import {
  completedReplacement,
  planReplacements,
  type OdometerReplacementRow,
  type PlannedReplacement,
} from './plan-replacements';

@Injectable()
export class OdometerReplacementsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly replacements: OdometerReplacementsRepository,
    private readonly readings: OdometerReadingsService,
    private readonly places: VehiclePlacesService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
  ) {}

  list(
    { principal }: RequestContext,
    vehicleId: string,
    { limit = 50, cursor }: PageQueryDto,
  ): Promise<Page<OdometerReplacementDto>> {
    const bound = { list: 'odometer-replacements', organisationId: principal.organisationId, vehicleId };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.places.require(tx, vehicleId);
      const seen = after === null ? null : { replacedAt: String(after[0]), id: String(after[1]) };
      const rows = await this.replacements.list(tx, vehicleId, seen, limit);
      const keyOf = ({ replacedAt, id }: OdometerReplacement): unknown[] => [replacedAt.toISOString(), id];
      return this.cursors.page(rows, limit, bound, keyOf, toOdometerReplacementDto);
    });
  }

  get({ principal }: RequestContext, replacementId: string): Promise<OdometerReplacementDto> {
    return this.transactions.read(principal, async (tx) =>
      toOdometerReplacementDto(await this.require(tx, replacementId)),
    );
  }

  create(
    context: RequestContext,
    vehicleId: string,
    body: CreateOdometerReplacementDto,
  ): Promise<RecordedReplacementDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const place = await this.places.lock(tx, vehicleId);
      const values = completedReplacement({ ...body, vehicleId }, place);
      const wrongUnits = unitsOfAnotherMeter(values.meter, values);
      if (wrongUnits.length > 0) throw replacementRefused(wrongUnits);
      const { externalKey } = values;
      const sameKey =
        externalKey === null ? null : await this.replacements.findByExternalKey(tx, externalKey);
      if (sameKey !== null) throw replacementKeyTaken(externalKey, sameKey.id);
      const sameMoment = await this.replacements.findOfMoment(
        tx,
        vehicleId,
        values.meter,
        new Date(values.at),
      );
      if (sameMoment !== null) throw replacedThenAlready(sameMoment);
      await this.expectPossible(tx, values, null);
      const [created] = await this.replacements.createMany(tx, principal.organisationId, [values]);
      if (created === undefined) throw replacementKeyTaken(externalKey);
      const replacement = await this.require(tx, created.id);
      return this.answer(tx, principal, 'created', replacement, null);
    });
  }

  update(
    context: RequestContext,
    replacementId: string,
    revision: number,
    body: UpdateOdometerReplacementDto,
  ): Promise<RecordedReplacementDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const replacement = await this.lock(tx, replacementId, revision);
      const before = toOdometerReplacementDto(replacement);
      if (applyMergePatch<OdometerReplacement>(replacement, body).length === 0) {
        return { ...before, readingsToDecideAgain: [] };
      }
      const at = replacement.replacedAt.getTime();
      await this.expectPossible(tx, { ...replacement, at }, at);
      replacement.revision += 1;
      await this.replacements.save(tx, [replacement]);
      return this.answer(tx, principal, 'changed', replacement, before);
    });
  }

  delete(context: RequestContext, replacementId: string, revision: number): Promise<void> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const replacement = await this.lock(tx, replacementId, revision);
      const { vehicleId, meter, replacedAt } = replacement;
      const fall = await this.readings.fallWithoutReplacement(tx, vehicleId, meter, replacedAt);
      if (fall !== null) throw readingsRestOnIt(fall);
      const before = toOdometerReplacementDto(replacement);
      await this.replacements.delete(tx, replacement);
      await this.dueItems.recompute(tx, principal, [vehicleId]);
      await this.audit.record(tx, principal, { ...subject('deleted', before), before });
    });
  }

  /** Records many at once, in the order of the rows. The vehicles are locked, and recomputed, by the caller. */
  async writeBatch(tx: Tx, principal: Principal, rows: OdometerReplacementRow[]): Promise<BulkResult[]> {
    const places = await this.places.of(
      tx,
      rows.map(({ vehicleId }) => vehicleId),
    );
    const keys = rows.flatMap(({ externalKey }) => externalKey ?? []);
    const stored = await this.replacements.findForBatch(tx, [...places.keys()], keys);
    const planned = planReplacements(rows, stored, (vehicleId) => places.get(vehicleId));
    const plan = await this.judged(tx, planned);
    const rowsAfter = plan.map((row) => row.planned);

    const records: AuditRecord[] = [];
    for (const { values, corrects } of plan) {
      if (values === null || corrects === null) continue;
      const before = toOdometerReplacementDto(corrects);
      const { at, ...changes } = values;
      Object.assign(corrects, changes, { replacedAt: new Date(at), revision: corrects.revision + 1 });
      await this.replacements.save(tx, [corrects]);
      const after = toOdometerReplacementDto(corrects);
      records.push({ ...subject('changed', after), before, after });
    }
    const added = recordsToCreate(rowsAfter);
    const ids = new Map<NewReplacement, string>();
    for (const { place, id } of await this.replacements.createMany(tx, principal.organisationId, added)) {
      const replacement = added[place];
      if (replacement === undefined) continue;
      ids.set(replacement, id);
      const after = { ...replacement, id };
      records.push({ ...subject('created', after), after });
    }
    await this.audit.record(tx, principal, records);
    return resultsOf(rowsAfter, ids);
  }

  // Turns planned rows that the readings contradict into refusals.
  private async judged(tx: Tx, plan: readonly PlannedReplacement[]): Promise<PlannedReplacement[]> {
    const toJudge = plan.filter(({ values }) => values !== null);
    const errors = await this.readings.replacementErrors(
      tx,
      toJudge.flatMap(({ values, corrects }) =>
        values === null ? [] : [{ ...values, correctsAt: corrects?.replacedAt.getTime() ?? null }],
      ),
    );
    const found = new Map(toJudge.map((row, index) => [row, errors[index] ?? []]));
    return plan.map((row) => {
      const against = found.get(row) ?? [];
      if (against.length === 0) return row;
      return { planned: { outcome: 'rejected', errors: against }, values: null, corrects: null };
    });
  }

  private async answer(
    tx: Tx,
    principal: Principal,
    action: ActionOn<'odometer-replacement'>,
    replacement: OdometerReplacement,
    before: OdometerReplacementDto | null,
  ): Promise<RecordedReplacementDto> {
    const { vehicleId, meter, replacedAt } = replacement;
    const after = toOdometerReplacementDto(replacement);
    await this.dueItems.recompute(tx, principal, [vehicleId]);
    const plausible = await this.readings.nowPlausible(tx, vehicleId, meter, replacedAt);
    await this.audit.record(tx, principal, { ...subject(action, after), before, after });
    return { ...after, readingsToDecideAgain: plausible.map(toReadingToDecideAgainDto) };
  }

  private async expectPossible(
    tx: Tx,
    { vehicleId, meter, at, oldFinalValue, oldUnit, newInitialValue, newUnit }: NewReplacement,
    correctsAt: number | null,
  ): Promise<void> {
    const [errors = []] = await this.readings.replacementErrors(tx, [
      { vehicleId, meter, at, oldFinalValue, oldUnit, newInitialValue, newUnit, correctsAt },
    ]);
    if (errors.length > 0) throw replacementRefused(errors);
  }

  private async lock(tx: Tx, replacementId: string, revision: number): Promise<OdometerReplacement> {
    const { vehicleId } = await this.require(tx, replacementId);
    await this.places.lock(tx, vehicleId);
    const replacement = await this.require(tx, replacementId);
    expectRevision(replacement, revision);
    return replacement;
  }

  private async require(tx: Tx, replacementId: string): Promise<OdometerReplacement> {
    const replacement = await this.replacements.find(tx, replacementId);
    if (replacement === null) throw notFound('odometer replacement', replacementId);
    return replacement;
  }
}

function subject(
  action: ActionOn<'odometer-replacement'>,
  { id, vehicleId }: { id: string; vehicleId: string },
): AuditRecord {
  return { action, subjectType: 'odometer-replacement', subjectId: id, vehicleId };
}
