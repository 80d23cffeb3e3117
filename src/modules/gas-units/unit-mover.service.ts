import { Injectable } from '@nestjs/common';
import { localDateAt } from '../../core/shared/calendar-date';
import { AuditTrail, type AuditRecord } from '../../platform/audit/audit-trail';
import { Clock } from '../../platform/clock/clock';
import { onConstraint } from '../../platform/database/on-constraint';
import type { Tx } from '../../platform/database/transactions';
import type { Principal } from '../../platform/security/principal';
import { DueItemsService } from '../due-items/due-items.service';
import { HoldStatusService } from '../due-items/hold-status.service';
import { UnitRecordsService } from '../due-items/unit-records.service';
import type { VehicleDueItemRow } from '../due-items/due-item-row';
import { UnitPositionsService } from '../unit-positions/unit-positions.service';
import { toUnitPlacementDto } from './dto/unit-placement.dto';
import type { DisplacedTo, RecordedUnitMovesDto } from './dto/unit-move.dto';
import type { MovedVehicleDto } from './dto/unit-due-item.dto';
import { GasUnitsRepository, type UnitToMove } from './gas-units.repository';
import { owedChanges, owedItemsOf } from './owed-changes';
import type { PlacementRow } from './placement-row';
import { planUnitMoves, type MoveFault, type PlannedMoves, type UnitMove } from './plan-unit-moves';
import { movedMeanwhile, placementGuards, refusedMoves } from './unit-moves.errors';
import { UnitPlacementsRepository, type Seat, type VehicleToFit } from './unit-placements.repository';
import { workCautions } from './work-cautions';

/** Moves that happened together. */
export interface MoveStep {
  at: Date;
  atPointer: string;
  moves: UnitMove[];
  movedBy: string;
  /** where units go that have to give way; null refuses */
  displaced: DisplacedTo | null;
  /** what was found wrong with it before anything was read */
  faults: MoveFault[];
}

/** What a step did. */
export interface DoneStep extends RecordedUnitMovesDto {
  /** who sat where others are fitted now, as it was before */
  displacedFrom: PlacementRow[];
}

/**
 * Moves units in the caller's transaction: all that belong to one step, or none. Vehicles are taken first, units
 * after them, each in the order of their ids, as every write about units takes them.
 */
@Injectable()
export class UnitMoverService {
  constructor(
    private readonly units: GasUnitsRepository,
    private readonly placements: UnitPlacementsRepository,
    private readonly positions: UnitPositionsService,
    private readonly dueItems: DueItemsService,
    private readonly holds: HoldStatusService,
    private readonly unitRecords: UnitRecordsService,
    private readonly audit: AuditTrail,
    private readonly clock: Clock,
  ) {}

  /** @throws CodedError that names everything that speaks against it */
  async move(tx: Tx, principal: Principal, step: MoveStep): Promise<DoneStep> {
    const unitIds = [...new Set(step.moves.map(({ unitId }) => unitId))];
    const seen = await this.placements.latest(tx, unitIds);
    const vehicleIds = vehiclesConcerned(step.moves, seen);
    const locked = await this.dueItems.lockVehicles(tx, vehicleIds);
    const owedBefore = locked.length === 0 ? [] : await this.dueItems.stored(tx, locked);

    const seats = seatsOf(step.moves);
    const holders = await this.placements.holdersFrom(tx, seats, step.at);
    const { moves, displacedFrom } = withDisplaced(step, holders, new Set(unitIds));
    const units = await this.units.lockForMove(
      tx,
      moves.map(({ unitId }) => unitId),
    );
    const latest = await this.placements.latest(
      tx,
      units.map(({ id }) => id),
    );
    const meanwhile = step.moves
      .filter(({ unitId }) => latest.get(unitId)?.id !== seen.get(unitId)?.id)
      .map(({ pointer, unitId }) => movedMeanwhile(`${pointer}/gasUnitId`, latest.get(unitId)));
    if (meanwhile.length > 0) throw refusedMoves(meanwhile);

    const vehicles = await this.placements.vehicles(tx, vehicleIds);
    const plan = planUnitMoves(moves, {
      at: step.at,
      atPointer: step.atPointer,
      nowAt: new Date(this.clock.now()),
      movedBy: step.movedBy,
      units: new Map(units.map((unit) => [unit.id, unit])),
      latest,
      vehicles,
      depotIds: await this.placements.existingDepots(
        tx,
        moves.flatMap(({ to }) => to.depotId ?? []),
      ),
      roleOf: await this.positions.takeRoles(
        tx,
        seats.map(({ position }) => position),
      ),
      holders,
      totalKmOf: await this.totalsByReadings(tx, step, vehicles),
    });
    const faults = [...step.faults, ...plan.faults];
    if (faults.length > 0) throw refusedMoves(faults);

    await this.write(tx, principal, plan);
    await this.dueItems.recompute(tx, principal, locked);
    const present = await this.placements.present(
      tx,
      plan.openings.map(({ unitId }) => unitId),
    );
    const placements = plan.openings.flatMap(({ unitId }) => present.get(unitId) ?? []);
    await this.audit.record(tx, principal, auditOf(placements, latest, units));
    const layouts = locked.map((id) => vehicles.get(id)?.layout ?? null);
    return {
      placements: placements.map(toUnitPlacementDto),
      vehicles: await this.effectOn(tx, locked, owedBefore, vehicles),
      warnings: plan.warnings,
      cautions: workCautions(layouts).map(({ code, text }) => ({ code, text })),
      displacedFrom,
    };
  }

  /** What a change of units meant for vehicles, from what they owed before. */
  async effectOn(
    tx: Tx,
    vehicleIds: readonly string[],
    owedBefore: readonly VehicleDueItemRow[],
    vehicles: ReadonlyMap<string, Pick<VehicleToFit, 'registrationMark'>>,
  ): Promise<MovedVehicleDto[]> {
    if (vehicleIds.length === 0) return [];
    const owedAfter = await this.dueItems.stored(tx, vehicleIds);
    const holds = await this.holds.statusOf(tx, vehicleIds);
    const held = new Set(holds.filter(({ status }) => status.onHold).map(({ records }) => records.vehicleId));
    return vehicleIds.map((vehicleId) => ({
      vehicleId,
      registrationMark: vehicles.get(vehicleId)?.registrationMark ?? '',
      ...owedChanges(owedItemsOf(owedBefore, vehicleId), owedItemsOf(owedAfter, vehicleId)),
      onHold: held.has(vehicleId),
    }));
  }

  private async write(tx: Tx, principal: Principal, { closings, openings }: PlannedMoves): Promise<void> {
    await this.placements.close(tx, closings);
    await this.units.moved(
      tx,
      openings.map(({ unitId, fleetId }) => ({ id: unitId, fleetId })),
    );
    await onConstraint(() => this.placements.open(tx, principal.organisationId, openings), placementGuards);
  }

  private async totalsByReadings(
    tx: Tx,
    { at }: MoveStep,
    vehicles: ReadonlyMap<string, VehicleToFit>,
  ): Promise<(vehicleId: string) => number | null> {
    const totals = new Map<string, number | null>();
    for (const { id, zone } of vehicles.values()) {
      totals.set(id, await this.unitRecords.totalKmOn(tx, id, localDateAt(at.getTime(), zone)));
    }
    return (vehicleId) => totals.get(vehicleId) ?? null;
  }
}

function vehiclesConcerned(moves: readonly UnitMove[], seen: ReadonlyMap<string, PlacementRow>): string[] {
  const entered = moves.flatMap(({ to }) => to.vehicleId ?? []);
  const left = [...seen.values()].flatMap(({ untilAt, vehicleId }) =>
    untilAt === null && vehicleId !== null ? [vehicleId] : [],
  );
  return [...new Set([...entered, ...left])].sort();
}

function seatsOf(moves: readonly UnitMove[]): Seat[] {
  const seats = moves.flatMap(({ to: { vehicleId, position } }) =>
    vehicleId === null || position === null ? [] : [{ vehicleId, position }],
  );
  return [...new Map(seats.map((seat) => [`${seat.vehicleId} ${seat.position}`, seat])).values()];
}

/** The moves of a step, and those of the units that have to give way to them. */
function withDisplaced(
  { moves, displaced }: MoveStep,
  holders: readonly PlacementRow[],
  moved: ReadonlySet<string>,
): { moves: UnitMove[]; displacedFrom: PlacementRow[] } {
  if (displaced === null) return { moves, displacedFrom: [] };
  const displacedFrom = holders.filter(({ untilAt, unitId }) => untilAt === null && !moved.has(unitId));
  const givingWay = displacedFrom.map(({ unitId }): UnitMove => ({
    pointer: '#/displaced',
    toPointer: '#/displaced',
    unitId,
    to: {
      state: displaced,
      vehicleId: null,
      position: null,
      depotId: null,
      awayWith: null,
      vehicleTotalKm: null,
    },
    leavingTotalKm: null,
    note: null,
  }));
  return { moves: [...moves, ...givingWay], displacedFrom };
}

function auditOf(
  placements: readonly PlacementRow[],
  latest: ReadonlyMap<string, PlacementRow>,
  units: readonly UnitToMove[],
): AuditRecord[] {
  const fleetOf = new Map(units.map(({ id, fleetId }) => [id, fleetId]));
  return placements.map((placement) => {
    const from = latest.get(placement.unitId);
    const vehicleId = placement.vehicleId ?? from?.vehicleId ?? undefined;
    const fleetId = fleetOf.get(placement.unitId);
    return {
      action: 'moved',
      subjectType: 'gas-unit',
      subjectId: placement.unitId,
      ...(vehicleId === undefined ? {} : { vehicleId }),
      ...(fleetId === undefined ? {} : { fleetId }),
      ...(from === undefined ? {} : { before: toUnitPlacementDto(from) }),
      after: toUnitPlacementDto(placement),
    };
  });
}
