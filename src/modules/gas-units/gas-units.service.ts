import { Injectable } from '@nestjs/common';
import { addDays, localDateAt } from '../../core/shared/calendar-date';
import { parseInstant } from '../../core/shared/instant';
import { AuditTrail, type AuditRecord } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import { bulkRejected, type BulkResult } from '../../platform/bulk/bulk-result';
import { recordsToCreate } from '../../platform/bulk/planned-row';
import { Clock } from '../../platform/clock/clock';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { CodedError, notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import { applyMergePatch } from '../../platform/http/merge-patch';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { FleetsService } from '../fleets/fleets.service';
import { GasUnitTypesService } from '../gas-unit-types/gas-unit-types.service';
import { destinationOf } from './destination-of';
import type { GasUnitStockQueryDto, ListGasUnitsQueryDto } from './dto/gas-unit-params.dto';
import {
  toGasUnitDto,
  toStockLineDto,
  type AddedGasUnitDto,
  type GasUnitDetailsDto,
  type GasUnitDto,
  type GasUnitStockDto,
} from './dto/gas-unit.dto';
import { asSerialNumber } from './dto/serial-number-text';
import type { CreateGasUnitDto, UpdateGasUnitDto } from './dto/write-gas-unit.dto';
import type { GasUnit } from './gas-unit.entity';
import {
  fleetGoesWithPlace,
  fleetOfTheVehicle,
  madeTooLate,
  noSuchUnitFleet,
  noSuchUnitType,
  serialNumberTaken,
  unitKeyTaken,
} from './gas-units.errors';
import { GasUnitsRepository, type GasUnitRow } from './gas-units.repository';
import type { PlacementRow } from './placement-row';
import { planGasUnits, unitOutOfSight, type GasUnitToAdd, type GasUnitUploadRow } from './plan-gas-units';
import { UnitMoverService, type MoveStep } from './unit-mover.service';
import { UnitPlacementsRepository } from './unit-placements.repository';
import { workCautions } from './work-cautions';

@Injectable()
export class GasUnitsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly units: GasUnitsRepository,
    private readonly placements: UnitPlacementsRepository,
    private readonly mover: UnitMoverService,
    private readonly types: GasUnitTypesService,
    private readonly fleets: FleetsService,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  list({ principal }: RequestContext, query: ListGasUnitsQueryDto): Promise<Page<GasUnitDto>> {
    const { limit = 50, cursor, ...filter } = query;
    const bound = { list: 'gas-units', organisationId: principal.organisationId, filter };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      const rows = await this.units.list(tx, filter, after === null ? null : String(after[0]), limit);
      const places = await this.placements.present(
        tx,
        rows.map(({ id }) => id),
      );
      const toDto = (row: GasUnitRow): GasUnitDto => toGasUnitDto(row, places.get(row.id));
      return this.cursors.page(rows, limit, bound, ({ id }) => [id], toDto);
    });
  }

  get({ principal }: RequestContext, gasUnitId: string): Promise<GasUnitDetailsDto> {
    return this.transactions.read(principal, async (tx) => {
      const unit = await this.read(tx, gasUnitId);
      const vehicleId = unit.place?.vehicleId ?? null;
      const vehicles = await this.placements.vehicles(tx, vehicleId === null ? [] : [vehicleId]);
      const cautions = workCautions([...vehicles.values()].map(({ layout }) => layout));
      return { ...unit, cautions: cautions.map(({ code, text }) => ({ code, text })) };
    });
  }

  /** How many units there are, by depot, type and state. */
  stock({ principal }: RequestContext, query: GasUnitStockQueryDto): Promise<GasUnitStockDto> {
    return this.transactions.read(principal, async (tx) => ({
      items: (await this.units.stock(tx, query)).map(toStockLineDto),
    }));
  }

  create(context: RequestContext, body: CreateGasUnitDto): Promise<AddedGasUnitDto> {
    const { principal } = context;
    const { organisationId } = principal;
    const { to, faults } = destinationOf(body.place ?? { state: 'on-the-shelf' }, '#/place');
    const madeOn = body.madeOn ?? null;
    return this.transactions.write(context, async (tx) => {
      if (madeOn !== null) this.refuseFuture(madeOn);
      // taken before the unit, as every move takes it
      if (to.vehicleId !== null) await this.dueItems.lockVehicles(tx, [to.vehicleId]);
      const { fleetId, unitTypeId, serialNumber } = body;
      if ((await this.fleets.find(tx, fleetId)) === null) throw noSuchUnitFleet(fleetId);
      if ((await this.types.find(tx, unitTypeId)) === null) throw noSuchUnitType(unitTypeId);
      const vehicle = (await this.placements.vehicles(tx, to.vehicleId === null ? [] : [to.vehicleId]))
        .values()
        .next().value;
      if (vehicle !== undefined && vehicle.fleetId !== fleetId) throw fleetOfTheVehicle(vehicle.fleetId);
      const unit = await onConstraint(
        () =>
          this.units.create(tx, {
            organisationId,
            fleetId,
            unitTypeId,
            externalKey: body.externalKey ?? null,
            serialNumber,
            madeOn,
            note: body.note ?? null,
          }),
        refusals(body.externalKey, serialNumber),
      );
      const step: MoveStep = {
        at:
          body.place?.fromAt === undefined
            ? new Date(this.clock.now())
            : new Date(parseInstant(body.place.fromAt, 'place.fromAt')),
        atPointer: '#/place/fromAt',
        moves: [
          { pointer: '#/place', toPointer: '#/place', unitId: unit.id, to, leavingTotalKm: null, note: null },
        ],
        movedBy: body.movedBy ?? principal.actor,
        displaced: null,
        faults,
      };
      const { warnings } = await this.mover.move(tx, principal, step);
      const after = await this.read(tx, unit.id);
      await this.audit.record(tx, principal, { ...subject('created', after, after.place), after });
      return { ...after, warnings };
    });
  }

  update(
    context: RequestContext,
    gasUnitId: string,
    revision: number,
    body: UpdateGasUnitDto,
  ): Promise<GasUnitDto> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const before = await this.read(tx, gasUnitId);
      const vehicleId = before.place?.vehicleId ?? null;
      const vehicleIds = vehicleId === null ? [] : [vehicleId];
      await this.dueItems.lockVehicles(tx, vehicleIds);
      const unit = await this.units.lock(tx, gasUnitId);
      if (unit === null) throw notFound('gas unit', gasUnitId);
      // counts moves too, so the unit is still where it was seen
      expectRevision(unit, revision);
      expectRevision(unit, before.revision);
      const changed = applyMergePatch<GasUnit>(unit, body);
      if (changed.length === 0) return before;
      if (changed.includes('fleetId')) await this.refuseFleet(tx, unit);
      if (changed.includes('madeOn') && unit.madeOn !== null)
        await this.refuseMadeOn(tx, unit.id, unit.madeOn);
      unit.revision += 1;
      await onConstraint(
        () => this.units.save(tx, unit),
        refusals(body.externalKey, body.serialNumber ?? before.serialNumber),
      );
      await this.dueItems.recompute(tx, principal, vehicleIds);
      const after = await this.read(tx, gasUnitId);
      await this.audit.record(tx, principal, {
        ...subject('changed', after, after.place),
        before,
        after,
      });
      return after;
    });
  }

  /**
   * Adds or changes the units of a list. One with a known key is changed: serial number, date of manufacture and
   * note; one without is found by its type and serial number. The fleet of a unit on record stays, since it goes
   * with the vehicle. New units are nowhere until their history is written.
   */
  async writeBatch(tx: Tx, principal: Principal, rows: readonly GasUnitUploadRow[]): Promise<BulkResult[]> {
    const stored = await this.units.findForBatch(
      tx,
      rows.flatMap(({ externalKey }) => externalKey ?? []),
      rows.map(({ serialNumber }) => asSerialNumber(serialNumber)),
    );
    const stamps = new Map(stored.map((unit) => [unit.id, stampOf(unit)]));
    const plan = planGasUnits(rows, {
      stored,
      types: await this.types.findByCodes(tx, [...new Set(rows.map(({ unitTypeCode }) => unitTypeCode))]),
      fleetIds: await this.units.existingFleets(tx, [...new Set(rows.map(({ fleetId }) => fleetId))]),
      latestMadeOn: this.latestMadeOn(),
    });
    const changed = [
      ...new Set(
        plan.flatMap((row) => (row.outcome === 'updated' && 'revision' in row.record ? [row.record] : [])),
      ),
    ];
    for (const unit of changed) unit.revision += 1;
    const restamped = changed.filter((unit) => stamps.get(unit.id) !== stampOf(unit));
    await this.units.updateMany(
      tx,
      changed.filter((unit) => !restamped.includes(unit)),
    );
    const refused = await this.restamp(tx, restamped);
    const records: AuditRecord[] = changed
      .filter((unit) => !refused.has(unit))
      .map((unit) => ({ ...subject('changed', unit, null), after: unit }));
    const added = recordsToCreate(plan);
    const ids = new Map<GasUnitToAdd, string>();
    if (added.length > 0) {
      for (const { place, id } of await this.units.createMany(tx, principal.organisationId, added)) {
        const unit = added[place];
        if (unit === undefined) continue;
        ids.set(unit, id);
        records.push({ ...subject('created', { ...unit, id }, null), after: { id, ...unit } });
      }
    }
    await this.audit.record(tx, principal, records);
    return plan.map((row): BulkResult => {
      if (row.outcome === 'rejected') return bulkRejected(...row.errors);
      const id = 'id' in row.record ? row.record.id : ids.get(row.record);
      if (id === undefined || refused.has(row.record)) return bulkRejected(unitOutOfSight);
      return { outcome: row.outcome, subjectId: id, errors: [] };
    });
  }

  /** @throws CodedError `not-found`, also for a unit of somebody else */
  async require(tx: Tx, gasUnitId: string): Promise<GasUnitRow> {
    const row = await this.units.find(tx, gasUnitId);
    if (row === null) throw notFound('gas unit', gasUnitId);
    return row;
  }

  findByExternalKeys(tx: Tx, externalKeys: readonly string[]): Promise<GasUnitRow[]> {
    return this.units.findByExternalKeys(tx, externalKeys);
  }

  // one by one, because a unit of a fleet that this key does not see may have the key or serial number
  private async restamp(tx: Tx, units: readonly GasUnitRow[]): Promise<Set<unknown>> {
    const refused = new Set<unknown>();
    for (const unit of units) {
      try {
        await this.transactions.savepoint(tx, (inner) =>
          onConstraint(
            () => this.units.updateMany(inner, [unit]),
            refusals(unit.externalKey, unit.serialNumber),
          ),
        );
      } catch (error) {
        if (!(error instanceof CodedError)) throw error;
        refused.add(unit);
      }
    }
    return refused;
  }

  private async read(tx: Tx, gasUnitId: string): Promise<GasUnitDto> {
    const row = await this.require(tx, gasUnitId);
    return toGasUnitDto(row, (await this.placements.present(tx, [gasUnitId])).get(gasUnitId));
  }

  private async refuseFleet(tx: Tx, unit: GasUnit): Promise<void> {
    const place = (await this.placements.present(tx, [unit.id])).get(unit.id);
    if (place !== undefined && place.state !== 'on-the-shelf') throw fleetGoesWithPlace(place);
    if ((await this.fleets.find(tx, unit.fleetId)) === null) throw noSuchUnitFleet(unit.fleetId);
  }

  private async refuseMadeOn(tx: Tx, unitId: string, madeOn: string): Promise<void> {
    this.refuseFuture(madeOn);
    const first = await this.placements.first(tx, unitId);
    // the day may have been a later one where the unit was then
    const firstOn = first === null ? null : addDays(localDateAt(first.fromAt.getTime(), 'UTC'), 1);
    if (first !== null && firstOn !== null && madeOn > firstOn)
      throw madeTooLate('#/madeOn', madeOn, `its first place on record, at ${first.fromAt.toISOString()}`);
  }

  private refuseFuture(madeOn: string): void {
    if (madeOn > this.latestMadeOn()) throw madeTooLate('#/madeOn', madeOn, 'today');
  }

  // it is tomorrow already in some zones
  private latestMadeOn(): string {
    return addDays(localDateAt(this.clock.now(), 'UTC'), 1);
  }
}

const stampOf = ({ serialNumber, externalKey }: GasUnitRow): string =>
  JSON.stringify([serialNumber, externalKey]);

function refusals(externalKey: string | null | undefined, serialNumber: string) {
  return {
    gas_units_external_key_key: () => unitKeyTaken(externalKey),
    gas_units_serial_number_key: () => serialNumberTaken(serialNumber),
  };
}

function subject(
  action: ActionOn<'gas-unit'>,
  { id: subjectId, fleetId }: Pick<GasUnitRow, 'id' | 'fleetId'>,
  place: Pick<PlacementRow, 'vehicleId'> | null,
): AuditRecord {
  const vehicleId = place?.vehicleId ?? undefined;
  const where = vehicleId === undefined ? { fleetId } : { vehicleId };
  return { action, subjectType: 'gas-unit', subjectId, ...where };
}
