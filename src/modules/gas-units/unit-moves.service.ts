import { Injectable } from '@nestjs/common';
import { parseInstant } from '../../core/shared/instant';
import { AuditTrail } from '../../platform/audit/audit-trail';
import { Clock } from '../../platform/clock/clock';
import { Transactions, type Tx } from '../../platform/database/transactions';
import { CodedError, notFound } from '../../platform/errors/coded-error';
import { expectRevision } from '../../platform/http/entity-tag';
import type { RequestContext } from '../../platform/http/request-context';
import { DueItemsService } from '../due-items/due-items.service';
import { destinationOf } from './destination-of';
import type { FittingPreviewQueryDto } from './dto/gas-unit-params.dto';
import type { CreateUnitMovesDto, FittingPreviewDto, RecordedUnitMovesDto } from './dto/unit-move.dto';
import { toUnitPlacementDto } from './dto/unit-placement.dto';
import { GasUnitsRepository } from './gas-units.repository';
import type { PlacementRow } from './placement-row';
import { UnitMoverService, type DoneStep, type MoveStep } from './unit-mover.service';
import {
  asParameters,
  firstPlace,
  gapBefore,
  notTheLatest,
  placeTakenSince,
  testedSince,
} from './unit-moves.errors';
import { UnitPlacementsRepository } from './unit-placements.repository';

/** Ends the savepoint of a preview and carries what it found out of it. */
class PreviewDone extends Error {
  constructor(readonly found: Pick<FittingPreviewDto, 'owed'> & { step: DoneStep }) {
    super('a preview is always taken back');
  }
}

@Injectable()
export class UnitMovesService {
  constructor(
    private readonly transactions: Transactions,
    private readonly mover: UnitMoverService,
    private readonly units: GasUnitsRepository,
    private readonly placements: UnitPlacementsRepository,
    private readonly dueItems: DueItemsService,
    private readonly audit: AuditTrail,
    private readonly clock: Clock,
  ) {}

  create(context: RequestContext, body: CreateUnitMovesDto): Promise<RecordedUnitMovesDto> {
    const step = stepOf(body);
    return this.transactions.write(context, async (tx) => {
      const { placements, vehicles, warnings, cautions } = await this.mover.move(tx, context.principal, step);
      return { placements, vehicles, warnings, cautions };
    });
  }

  /** What a unit would owe at a position: it is moved there, looked at, and the move is taken back. */
  async preview(
    { principal }: RequestContext,
    gasUnitId: string,
    { vehicleId, position, displaced }: FittingPreviewQueryDto,
  ): Promise<FittingPreviewDto> {
    const { to, faults } = destinationOf({ state: 'fitted', vehicleId, position }, '#');
    const move = { pointer: '#', toPointer: '#', unitId: gasUnitId, to, leavingTotalKm: null, note: null };
    return this.transactions.read(principal, async (tx) => {
      if ((await this.units.find(tx, gasUnitId)) === null) throw notFound('gas unit', gasUnitId);
      const step: MoveStep = {
        at: new Date(this.clock.now()),
        atPointer: '#/gasUnitId',
        moves: [move],
        movedBy: principal.actor,
        displaced: displaced ?? null,
        faults,
      };
      try {
        return await this.transactions.savepoint<FittingPreviewDto>(tx, async (inner) => {
          const done = await this.mover.move(inner, principal, step);
          const rows = await this.dueItems.stored(inner, [vehicleId]);
          const owed = rows
            .flatMap(({ details }) => details ?? [])
            .filter((item) => item.position === position)
            .map(({ key, task, title, dueOn }) => ({ key, task, title, position, dueOn }));
          throw new PreviewDone({ step: done, owed });
        });
      } catch (error) {
        if (error instanceof CodedError) throw asParameters(error);
        if (!(error instanceof PreviewDone)) throw error;
        const { step: done, owed } = error.found;
        const [displaces] = done.displacedFrom;
        return {
          gasUnitId,
          vehicleId,
          position,
          displaces: displaces === undefined ? null : toUnitPlacementDto(displaces),
          owed,
          vehicles: done.vehicles,
          warnings: done.warnings,
          cautions: done.cautions,
        };
      }
    });
  }

  /** Takes back the latest move of a unit: it is where it was before. */
  undo(context: RequestContext, placementId: string, revision: number): Promise<void> {
    const { principal } = context;
    return this.transactions.write(context, async (tx) => {
      const { unitId } = await this.require(tx, placementId);
      const seen = await this.placements.lastTwo(tx, unitId);
      const vehicleIds = [...new Set(seen.flatMap(({ vehicleId }) => vehicleId ?? []))].sort();
      await this.dueItems.lockVehicles(tx, vehicleIds);
      const [unit] = await this.units.lockForMove(tx, [unitId]);
      const placement = await this.require(tx, placementId);
      // counts every move, so the two that were seen are still the last two
      expectRevision(placement, revision);
      const [latest = placement, previous] = await this.placements.lastTwo(tx, unitId);
      if (latest.id !== placementId) throw notTheLatest(placement, latest);
      if (previous === undefined || unit === undefined) throw firstPlace(placement);
      if (previous.untilAt?.getTime() !== placement.fromAt.getTime()) throw gapBefore(placement);
      await this.refuseIfOvertaken(tx, placement, previous);
      await this.placements.delete(tx, placementId);
      const vehicles = await this.placements.vehicles(tx, vehicleIds);
      const fleetId = vehicles.get(previous.vehicleId ?? '')?.fleetId ?? unit.fleetId;
      await this.units.moved(tx, [{ id: unitId, fleetId }]);
      await this.placements.reopen(tx, previous.id);
      await this.dueItems.recompute(tx, principal, vehicleIds);
      const vehicleId = placement.vehicleId ?? previous.vehicleId ?? undefined;
      await this.audit.record(tx, principal, {
        action: 'move-taken-back',
        subjectType: 'gas-unit',
        subjectId: unitId,
        ...(vehicleId === undefined ? { fleetId } : { vehicleId }),
        before: toUnitPlacementDto(placement),
        after: toUnitPlacementDto({ ...previous, untilAt: null, vehicleTotalKmUntil: null }),
      });
    });
  }

  private async refuseIfOvertaken(tx: Tx, placement: PlacementRow, previous: PlacementRow): Promise<void> {
    const { vehicleId, position } = previous;
    if (vehicleId !== null && position !== null) {
      const holders = await this.placements.holdersFrom(tx, [{ vehicleId, position }], placement.fromAt);
      const other = holders.find(({ unitId }) => unitId !== placement.unitId);
      if (other !== undefined) throw placeTakenSince(previous, other);
    }
    const event = await this.placements.eventElsewhere(tx, placement.unitId, placement.fromAt, previous);
    if (event !== null) throw testedSince(placement, event.doneAt);
  }

  private async require(tx: Tx, placementId: string): Promise<PlacementRow> {
    const placement = await this.placements.find(tx, placementId);
    if (placement === null) throw notFound('unit placement', placementId);
    return placement;
  }
}

function stepOf({ at, movedBy, moves, displaced }: CreateUnitMovesDto): MoveStep {
  const read = moves.map(({ gasUnitId, to, vehicleTotalKm, note }, index) => {
    const pointer = `#/moves/${index}`;
    const toPointer = `${pointer}/to`;
    const destination = destinationOf(to, toPointer);
    const leavingTotalKm = vehicleTotalKm ?? null;
    const move = {
      pointer,
      toPointer,
      unitId: gasUnitId,
      to: destination.to,
      leavingTotalKm,
      note: note ?? null,
    };
    return { move, faults: destination.faults };
  });
  return {
    at: new Date(parseInstant(at, 'at')),
    atPointer: '#/at',
    moves: read.map(({ move }) => move),
    movedBy,
    displaced: displaced ?? null,
    faults: read.flatMap(({ faults }) => faults),
  };
}
