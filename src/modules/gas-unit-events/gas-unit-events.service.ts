import { Injectable } from '@nestjs/common';
import { effectOfWork, type OwedItem } from '../../core/due/effect-of-work';
import { parseInstant } from '../../core/shared/instant';
import type { PrechargeObservationKind } from '../../core/precharge/precharge-model';
import { AuditTrail, type AuditRecord } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import { recordsToCreate, resultsOf } from '../../platform/bulk/planned-row';
import { Clock } from '../../platform/clock/clock';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { voidRecord } from '../../platform/database/voidable-record';
import { notFound, type FieldError } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { GaugesService } from '../gauges/gauges.service';
import type { ListGasUnitEventsQueryDto } from './dto/gas-unit-event-query.dto';
import { toGasUnitEventDto, type GasUnitEventDto } from './dto/gas-unit-event.dto';
import type { RecordedGasUnitEventDto } from './dto/recorded-gas-unit-event.dto';
import type { RecordPrechargeTestDto } from './dto/write-gas-unit-event.dto';
import { cautionsOfMeasuring } from './cautions-of-measuring';
import type { GasUnitEvent } from './gas-unit-event.entity';
import { eventKeyTaken, noSuchUnit, refusedMeasurement, voidedAlready } from './gas-unit-events.errors';
import { GasUnitEventsRepository } from './gas-unit-events.repository';
import { measurePrecharge, type PrechargeReadingRow } from './measure-precharge';
import { measuredEvent, type MeasuredEvent } from './measured-event';
import { vehiclesTouched, type MeasuredUnit } from './measured-unit';
import { planGasUnitEvents } from './plan-gas-unit-events';
import { PrechargeForecastsService } from './precharge-forecasts.service';
import { PrechargeLimitsService, type KnownLimits } from './precharge-limits.service';
import { roundedTo } from './rounded';

type OwedByVehicle = ReadonlyMap<string, OwedItem[]>;

/** A test or charge as a file states it; its fields are valid by themselves. */
export interface GasUnitEventRow extends PrechargeReadingRow {
  unitId: string;
}

@Injectable()
export class GasUnitEventsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly events: GasUnitEventsRepository,
    private readonly limits: PrechargeLimitsService,
    private readonly forecasts: PrechargeForecastsService,
    private readonly gauges: GaugesService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  list(
    { principal }: RequestContext,
    unitId: string,
    { limit = 50, cursor, ...filter }: ListGasUnitEventsQueryDto,
  ): Promise<Page<GasUnitEventDto>> {
    const { organisationId } = principal;
    const bound = { list: 'gas-unit-events', organisationId, unitId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.requireUnit(tx, unitId);
      const seen = after === null ? null : { doneAt: String(after[0]), id: String(after[1]) };
      const rows = await this.events.list(tx, unitId, filter, seen, limit);
      const keyOf = (row: GasUnitEvent): unknown[] => [row.doneAt.toISOString(), row.id];
      return this.cursors.page(rows, limit, bound, keyOf, toGasUnitEventDto);
    });
  }

  get({ principal }: RequestContext, eventId: string): Promise<GasUnitEventDto> {
    return this.transactions.read(principal, async (tx) =>
      toGasUnitEventDto(await this.require(tx, eventId)),
    );
  }

  record(
    context: RequestContext,
    unitId: string,
    kind: PrechargeObservationKind,
    body: RecordPrechargeTestDto,
  ): Promise<RecordedGasUnitEventDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const { unit, vehicleIds } = await this.take(tx, unitId, parseInstant(body.doneAt, 'doneAt'));
      const gauges = await this.gauges.findByIds(tx, body.gaugeId ? [body.gaugeId] : []);
      const gauge = body.gaugeId ? gauges.get(body.gaugeId) : null;
      const measured = measurePrecharge({ ...body, kind }, unit, gauge, this.clock.now());
      if ('faults' in measured) throw refusedMeasurement(measured.faults);
      const { normalised, place } = measured;
      const values = measuredEvent(unitId, measured, await this.limits.of(tx, unit, place));

      const owedBefore = await this.owed(tx, vehicleIds);
      const forecastBefore = await this.forecasts.inShort(tx, unit);
      const event = await onConstraint(
        () =>
          this.events.create(tx, {
            ...values,
            organisationId: principal.organisationId,
            fleetId: unit.fleetId,
          }),
        { gas_unit_events_external_key_key: () => eventKeyTaken(values.externalKey) },
      );
      await this.dueItems.recompute(tx, principal, vehicleIds);
      const recorded = toGasUnitEventDto(event);
      await this.audit.record(tx, principal, { ...subject('created', event), after: recorded });
      const likely = normalised.likelyFahrenheitReadingC;
      return {
        ...recorded,
        warnings: [...normalised.warnings],
        likelyFahrenheitReadingC: likely === null ? null : roundedTo(likely, 1),
        method: normalised.method,
        validity: normalised.validity,
        cautions: cautionsOfMeasuring(event, normalised.cautions),
        forecastBefore,
        forecastAfter: await this.forecasts.inShort(tx, unit),
        ...effectOnVehicles(owedBefore, await this.owed(tx, vehicleIds), event.id),
      };
    });
  }

  /** An event recorded by mistake stays on file and counts no more. */
  void(context: RequestContext, eventId: string, revision: number, reason: string): Promise<GasUnitEventDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const { unitId, doneAt } = await this.require(tx, eventId);
      const { vehicleIds } = await this.take(tx, unitId, doneAt.getTime());
      // read again: what was seen before the unit was taken may have changed
      const event = await this.require(tx, eventId);
      if (event.voidedAt !== null) throw voidedAlready(event.voidedAt.toISOString());
      expectRevision(event, revision);
      const before = toGasUnitEventDto(event);
      voidRecord(event, principal.actor, reason, this.clock.now());
      const after = toGasUnitEventDto(await this.events.save(tx, event));
      await this.dueItems.recompute(tx, principal, vehicleIds);
      await this.audit.record(tx, principal, { ...subject('voided', event), before, after });
      return after;
    });
  }

  /**
   * Records many at once, in the order of the rows. The vehicles where the units are, and were, are locked and
   * recomputed by the caller.
   */
  async writeBatch(tx: Tx, principal: Principal, rows: GasUnitEventRow[]): Promise<BulkResult[]> {
    const unitIds = [...new Set(rows.map(({ unitId }) => unitId))];
    await this.events.lockUnits(tx, unitIds);
    const units = await this.events.units(tx, unitIds);
    const gauges = await this.gauges.findByIds(
      tx,
      rows.flatMap(({ gaugeId }) => gaugeId ?? []),
    );
    const known: KnownLimits = new Map();
    const judged: (MeasuredEvent | { faults: FieldError[] })[] = [];
    for (const row of rows) {
      const unit = units.get(row.unitId);
      if (unit === undefined) {
        judged.push({ faults: [noSuchUnit(row.unitId)] });
        continue;
      }
      const gauge = row.gaugeId ? gauges.get(row.gaugeId) : null;
      const measured = measurePrecharge(row, unit, gauge, this.clock.now());
      judged.push(
        'faults' in measured
          ? measured
          : measuredEvent(row.unitId, measured, await this.limits.of(tx, unit, measured.place, known)),
      );
    }
    const stored = await this.events.findForBatch(
      tx,
      judged.filter((row): row is MeasuredEvent => !('faults' in row)),
    );
    const before = new Map(stored.map((event) => [event, toGasUnitEventDto(event)]));
    const plan = planGasUnitEvents(judged, stored);

    const corrected = new Set(
      plan.flatMap((row) => (row.outcome === 'updated' && 'revision' in row.record ? [row.record] : [])),
    );
    const records: AuditRecord[] = [...corrected].map((event) => {
      event.revision += 1;
      return { ...subject('changed', event), before: before.get(event), after: toGasUnitEventDto(event) };
    });
    await this.events.updateMany(tx, [...corrected]);

    const added = recordsToCreate(plan);
    const fleetOf = ({ unitId }: MeasuredEvent): string => units.get(unitId)?.fleetId ?? '';
    const ids = new Map<MeasuredEvent, string>();
    if (added.length > 0) {
      const withFleets = added.map((event) => ({ ...event, fleetId: fleetOf(event) }));
      for (const { place, id } of await this.events.createMany(tx, principal.organisationId, withFleets)) {
        const event = added[place];
        if (event === undefined) continue;
        ids.set(event, id);
        records.push({
          ...subject('created', { ...event, id, fleetId: fleetOf(event) }),
          after: { id, ...event },
        });
      }
    }
    await this.audit.record(tx, principal, records);
    return resultsOf(plan, ids);
  }

  /**
   * Takes the vehicles where the unit is and was then, and the unit itself, in the order in which every write takes
   * them.
   */
  private async take(
    tx: Tx,
    unitId: string,
    at: number,
  ): Promise<{ unit: MeasuredUnit; vehicleIds: string[] }> {
    const seen = vehiclesTouched(await this.requireUnit(tx, unitId), at);
    await this.dueItems.lockVehicles(tx, seen);
    await this.events.lockUnits(tx, [unitId]);
    const unit = await this.requireUnit(tx, unitId);
    const vehicleIds = vehiclesTouched(unit, at);
    // It was moved meanwhile. Should this and another write now wait for each other, one of them is repeated.
    const others = vehicleIds.filter((id) => !seen.includes(id));
    if (others.length > 0) await this.dueItems.lockVehicles(tx, others);
    return { unit, vehicleIds };
  }

  /** What each vehicle owes. */
  private async owed(tx: Tx, vehicleIds: readonly string[]): Promise<OwedByVehicle> {
    const rows = vehicleIds.length === 0 ? [] : await this.dueItems.stored(tx, vehicleIds);
    return new Map(
      vehicleIds.map((id) => [
        id,
        rows.flatMap(({ vehicleId, details }) => (vehicleId === id ? (details ?? []) : [])),
      ]),
    );
  }

  private async requireUnit(tx: Tx, unitId: string): Promise<MeasuredUnit> {
    const unit = (await this.events.units(tx, [unitId])).get(unitId);
    if (unit === undefined) throw notFound('gas unit', unitId);
    return unit;
  }

  private async require(tx: Tx, eventId: string): Promise<GasUnitEvent> {
    const event = await this.events.find(tx, eventId);
    if (event === null) throw notFound('test or charge of a gas unit', eventId);
    return event;
  }
}

function subject(
  action: ActionOn<'gas-unit-event'>,
  { id, vehicleId, fleetId }: Pick<GasUnitEvent, 'id' | 'vehicleId' | 'fleetId'>,
): AuditRecord {
  return {
    action,
    subjectType: 'gas-unit-event',
    subjectId: id,
    fleetId,
    ...(vehicleId === null ? {} : { vehicleId }),
  };
}

// a unit may have been on another vehicle when it was measured
function effectOnVehicles(
  before: OwedByVehicle,
  after: OwedByVehicle,
  eventId: string,
): Pick<RecordedGasUnitEventDto, 'clears' | 'raises' | 'moves'> {
  const effects = [...after].map(([vehicleId, items]) => ({
    vehicleId,
    ...effectOfWork(before.get(vehicleId) ?? [], items, eventId),
  }));
  return {
    clears: effects.flatMap(({ vehicleId, clears }) => clears.map((item) => ({ vehicleId, ...item }))),
    raises: effects.flatMap(({ vehicleId, raises }) => raises.map((item) => ({ vehicleId, ...item }))),
    moves: effects.flatMap(({ vehicleId, moves }) => moves.map((item) => ({ vehicleId, ...item }))),
  };
}
