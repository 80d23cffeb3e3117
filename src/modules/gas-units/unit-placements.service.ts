import { Injectable } from '@nestjs/common';
import { parseInstant } from '../../core/shared/instant';
import { AuditTrail, type AuditRecord } from '../../platform/audit/audit-trail';
import type { ActionOn } from '../../platform/audit/recorded-changes';
import type { BulkResult } from '../../platform/bulk/bulk-result';
import { recordsToCreate, resultsOf } from '../../platform/bulk/planned-row';
import { Clock } from '../../platform/clock/clock';
import { onConstraint } from '../../platform/database/on-constraint';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { notFound } from '../../platform/errors/coded-error';
import { Cursors, type Page } from '../../platform/http/page';
import type { RequestContext } from '../../platform/http/request-context';
import type { Principal } from '../../platform/security/principal';
import { VehiclePlacesService } from '../due-items/vehicle-places.service';
import { UnitPositionsService } from '../unit-positions/unit-positions.service';
import type {
  UnitPlacementsQueryDto,
  VehiclePlacementsQueryDto,
  VehicleUnitPositionsQueryDto,
} from './dto/gas-unit-params.dto';
import { toUnitPlacementDto, type UnitPlacementDto } from './dto/unit-placement.dto';
import type { VehicleUnitPositionDto, VehicleUnitPositionsDto } from './dto/vehicle-unit-position.dto';
import { expectationsOf } from './fitting-checks';
import { GasUnitsRepository } from './gas-units.repository';
import type { PlacementRow } from './placement-row';
import { planPlacements, type PlacementUploadRow } from './plan-placements';
import { placementGuards } from './unit-moves.errors';
import { UnitPlacementsRepository, type NewPlacement, type Seat } from './unit-placements.repository';

/** Where units were at any moment, and histories of whole lists. */
@Injectable()
export class UnitPlacementsService {
  constructor(
    private readonly transactions: Transactions,
    private readonly placements: UnitPlacementsRepository,
    private readonly units: GasUnitsRepository,
    private readonly positions: UnitPositionsService,
    private readonly places: VehiclePlacesService,
    private readonly audit: AuditTrail,
    private readonly cursors: Cursors,
    private readonly clock: Clock,
  ) {}

  get({ principal }: RequestContext, placementId: string): Promise<UnitPlacementDto> {
    return this.transactions.read(principal, async (tx) => {
      const placement = await this.placements.find(tx, placementId);
      if (placement === null) throw notFound('unit placement', placementId);
      return toUnitPlacementDto(placement);
    });
  }

  /** Where a unit was, latest first, or where it was at one moment. */
  ofUnit(
    { principal }: RequestContext,
    gasUnitId: string,
    { limit = 50, cursor, at }: UnitPlacementsQueryDto,
  ): Promise<Page<UnitPlacementDto>> {
    const { organisationId } = principal;
    const bound = { list: 'placements-of-unit', organisationId, gasUnitId, at };
    const after = this.cursors.after(cursor, bound);
    const moment = at === undefined ? null : new Date(parseInstant(at, 'at'));
    return this.transactions.read(principal, async (tx) => {
      if ((await this.units.find(tx, gasUnitId)) === null) throw notFound('gas unit', gasUnitId);
      const seen = after === null ? null : new Date(String(after[0]));
      const rows = await this.placements.ofUnit(tx, gasUnitId, moment, seen, limit);
      return this.cursors.page(rows, limit, bound, keyOf, toUnitPlacementDto);
    });
  }

  /** Which units were fitted to a vehicle, latest first. */
  ofVehicle(
    { principal }: RequestContext,
    vehicleId: string,
    { limit = 50, cursor, position }: VehiclePlacementsQueryDto,
  ): Promise<Page<UnitPlacementDto>> {
    const { organisationId } = principal;
    const bound = { list: 'placements-of-vehicle', organisationId, vehicleId, position };
    const after = this.cursors.after(cursor, bound);
    return this.transactions.read(principal, async (tx) => {
      await this.places.require(tx, vehicleId);
      const seen = after === null ? null : { fromAt: new Date(String(after[0])), id: String(after[1]) };
      const rows = await this.placements.ofVehicle(tx, vehicleId, position ?? null, seen, limit);
      return this.cursors.page(rows, limit, bound, keyOf, toUnitPlacementDto);
    });
  }

  /** Every position of a vehicle with the unit that was there at a moment. */
  positionsOf(
    { principal }: RequestContext,
    vehicleId: string,
    { at }: VehicleUnitPositionsQueryDto,
  ): Promise<VehicleUnitPositionsDto> {
    const moment = new Date(at === undefined ? this.clock.now() : parseInstant(at, 'at'));
    return this.transactions.read(principal, async (tx) => {
      const vehicle = (await this.placements.vehicles(tx, [vehicleId])).get(vehicleId);
      if (vehicle === undefined) throw notFound('vehicle', vehicleId);
      const fitted = new Map(
        (await this.placements.onVehicleAt(tx, vehicleId, moment)).map((row) => [row.position ?? '', row]),
      );
      const roleOf = await this.positions.roles(tx);
      const expected = new Map<string, VehicleUnitPositionDto['expectation']>(
        expectationsOf(vehicle.layout).map(({ position, unit }) => [position, unit]),
      );
      const all = [...new Set([...roleOf.keys(), ...fitted.keys()])];
      const items = all.map((position): VehicleUnitPositionDto => {
        const unit = fitted.get(position);
        return {
          position,
          role: roleOf.get(position) ?? null,
          expectation: expected.get(position) ?? 'own-position',
          unit: unit === undefined ? null : toUnitPlacementDto(unit),
        };
      });
      return { vehicleId, at: moment.toISOString(), items };
    });
  }

  /** Where a unit was at a moment; null where nobody recorded it. */
  async at(tx: Tx, unitId: string, at: Date): Promise<PlacementRow | null> {
    const [row] = await this.placements.ofUnit(tx, unitId, at, null, 1);
    return row ?? null;
  }

  /** Every vehicle that the units are or were fitted to, by id: those that a change of the units concerns. */
  vehicleIdsOf(tx: Tx, unitIds: readonly string[]): Promise<string[]> {
    return this.placements.vehicleIdsOf(tx, unitIds);
  }

  /**
   * Records the fitment history of units, the rows of each unit in the order of time. The vehicles of the rows, and
   * those of `vehicleIdsOf`, are locked, and recomputed, by the caller.
   */
  async writePlacementBatch(
    tx: Tx,
    principal: Principal,
    rows: readonly PlacementUploadRow[],
  ): Promise<BulkResult[]> {
    const unitIds = [...new Set(rows.map(({ unitId }) => unitId))];
    const units = new Map((await this.units.lockForMove(tx, unitIds)).map((unit) => [unit.id, unit]));
    const seats = seatsOf(rows);
    const vehicles = await this.placements.vehicles(tx, [
      ...new Set(seats.map(({ vehicleId }) => vehicleId)),
    ]);
    const stored = await this.placements.findForBatch(
      tx,
      unitIds,
      seats,
      rows.flatMap(({ externalKey }) => externalKey ?? []),
    );
    const before = new Map(stored.map((row) => [row, toUnitPlacementDto(row)]));
    const plan = planPlacements(rows, {
      stored,
      units,
      vehicles,
      depotIds: await this.placements.existingDepots(tx, [
        ...new Set(rows.flatMap((row) => row.depotId ?? [])),
      ]),
      roleOf: await this.positions.takeRoles(tx, [...new Set(seats.map(({ position }) => position))]),
      nowAt: new Date(this.clock.now()),
      recordedBy: principal.actor,
    });

    const updated = new Set(
      plan.flatMap((row) => (row.outcome === 'updated' && 'recordedAt' in row.record ? [row.record] : [])),
    );
    const added = recordsToCreate(plan);
    const touched = new Set([...updated, ...added].map(({ unitId }) => unitId));
    const open = new Map(added.filter(({ untilAt }) => untilAt === null).map((row) => [row.unitId, row]));
    const moved = [...touched].map((id) => {
      const vehicle = vehicles.get(open.get(id)?.vehicleId ?? '');
      return { id, fleetId: vehicle?.fleetId ?? units.get(id)?.fleetId ?? '' };
    });
    const fleetOf = new Map(moved.map(({ id, fleetId }) => [id, fleetId]));
    for (const row of added) row.fleetId = fleetOf.get(row.unitId) ?? row.fleetId;

    await this.placements.updateMany(tx, [...updated]);
    if (moved.length > 0) await this.units.moved(tx, moved);
    const records: AuditRecord[] = [...updated].map((row) => ({
      ...subject('placement-changed', row, fleetOf.get(row.unitId)),
      before: before.get(row),
      after: toUnitPlacementDto(row),
    }));
    const ids = new Map<NewPlacement, string>();
    if (added.length > 0) {
      const opened = await onConstraint(
        () => this.placements.open(tx, principal.organisationId, added),
        placementGuards,
      );
      for (const { place, id } of opened) {
        const row = added[place];
        if (row === undefined) continue;
        ids.set(row, id);
        records.push({ ...subject('placement-recorded', row, row.fleetId), after: { id, ...row } });
      }
    }
    await this.audit.record(tx, principal, records);
    return resultsOf(plan, ids);
  }
}

const keyOf = ({ fromAt, id }: PlacementRow): string[] => [fromAt.toISOString(), id];

function seatsOf(rows: readonly PlacementUploadRow[]): Seat[] {
  const seats = rows.flatMap(({ vehicleId, position }) =>
    typeof vehicleId === 'string' && typeof position === 'string' ? [{ vehicleId, position }] : [],
  );
  return [...new Map(seats.map((seat) => [`${seat.vehicleId} ${seat.position}`, seat])).values()];
}

function subject(
  action: ActionOn<'gas-unit'>,
  { unitId, vehicleId }: Pick<NewPlacement, 'unitId' | 'vehicleId'>,
  fleetId: string | undefined,
): AuditRecord {
  return {
    action,
    subjectType: 'gas-unit',
    subjectId: unitId,
    ...(vehicleId === null ? {} : { vehicleId }),
    ...(fleetId === undefined ? {} : { fleetId }),
  };
}
