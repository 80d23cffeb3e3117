import type { UnitPlacementState, UnitRole } from '../../core/hydraulics/unit-positions';
import { localDateAt } from '../../core/shared/calendar-date';
import type { FieldError } from '../../platform/errors/coded-error';
import { fittingObjection, fittingWarning } from './fitting-checks';
import type { UnitToMove } from './gas-units.repository';
import { placeInWords, type PlacementRow } from './placement-row';
import type { NewPlacement, VehicleToFit } from './unit-placements.repository';

/** Where a unit is to go. */
export interface Destination {
  state: UnitPlacementState;
  vehicleId: string | null;
  position: string | null;
  depotId: string | null;
  awayWith: string | null;
  vehicleTotalKm: number | null;
}

export interface UnitMove {
  /** pointer of what asked for it */
  pointer: string;
  /** pointer of its destination */
  toPointer: string;
  unitId: string;
  to: Destination;
  /** of the vehicle that it leaves */
  leavingTotalKm: number | null;
  note: string | null;
}

/** `invalid` is wrong by itself; `conflict` does not go with what is on record. */
export interface MoveFault {
  kind: 'invalid' | 'conflict';
  field: FieldError;
}

/** Everything that the moves are held against; the vehicles and the units are taken for the transaction. */
export interface MoveRecords {
  at: Date;
  atPointer: string;
  nowAt: Date;
  movedBy: string;
  units: ReadonlyMap<string, UnitToMove>;
  /** last place on record */
  latest: ReadonlyMap<string, PlacementRow>;
  vehicles: ReadonlyMap<string, VehicleToFit>;
  depotIds: ReadonlySet<string>;
  roleOf: ReadonlyMap<string, UnitRole>;
  /** who sits, or sat, at the positions at `at` or later */
  holders: readonly PlacementRow[];
  /** total distance of a vehicle then by its readings, where the mover gave none */
  totalKmOf: (vehicleId: string) => number | null;
}

export interface PlannedMoves {
  faults: MoveFault[];
  warnings: string[];
  closings: { id: string; untilAt: Date; vehicleTotalKmUntil: number | null }[];
  openings: NewPlacement[];
}

/** Decides in memory what the moves of one step do, or why they cannot be done; all of them, or none. */
export function planUnitMoves(moves: readonly UnitMove[], records: MoveRecords): PlannedMoves {
  const plan: PlannedMoves = { faults: timeFaults(records), warnings: [], closings: [], openings: [] };
  plan.faults.push(...doubledMoves(moves));
  const moved = new Set(moves.map(({ unitId }) => unitId));
  const given = givenTotals(moves, records);
  for (const move of moves) {
    const unit = records.units.get(move.unitId);
    if (unit === undefined) {
      plan.faults.push(invalid(`${move.pointer}/gasUnitId`, `There is no gas unit ${move.unitId}.`, NO_UNIT));
      continue;
    }
    const latest = records.latest.get(unit.id);
    const leaving = leave(move, unit, latest, records, given, plan);
    const entering = enter(move, unit, moved, records, given, plan);
    if (plan.faults.length > 0 || entering === null) continue;
    if (leaving !== null) plan.closings.push(leaving);
    plan.openings.push(entering);
  }
  return plan;
}

const NO_UNIT = 'give the id of one of your gas units';

const fault =
  (kind: MoveFault['kind']) =>
  (pointer: string, detail: string, remedy: string): MoveFault => ({
    kind,
    field: { pointer, detail, remedy },
  });
const invalid = fault('invalid');
const conflict = fault('conflict');

function timeFaults({ at, atPointer, nowAt }: MoveRecords): MoveFault[] {
  if (at <= nowAt) return [];
  const detail = `${at.toISOString()} is later than now, ${nowAt.toISOString()}.`;
  return [invalid(atPointer, detail, 'record a move when it has been made')];
}

function doubledMoves(moves: readonly UnitMove[]): MoveFault[] {
  const units = new Set<string>();
  const seats = new Set<string>();
  return moves.flatMap(({ pointer, toPointer, unitId, to }): MoveFault[] => {
    const faults: MoveFault[] = [];
    if (units.has(unitId))
      faults.push(
        invalid(
          `${pointer}/gasUnitId`,
          'The same unit is moved twice.',
          'give one move for each unit: where it is in the end',
        ),
      );
    units.add(unitId);
    const seat = seatOf(to);
    if (seat !== null && seats.has(seat))
      faults.push(
        invalid(
          `${toPointer}/position`,
          `Two units are to be fitted at "${to.position ?? ''}".`,
          'a position holds one unit; give another position',
        ),
      );
    if (seat !== null) seats.add(seat);
    return faults;
  });
}

/** What the movers read of vehicles, for the other moves of the same vehicle. */
function givenTotals(moves: readonly UnitMove[], { latest }: MoveRecords): Map<string, number> {
  const given = new Map<string, number>();
  for (const { unitId, to, leavingTotalKm } of moves) {
    const from = latest.get(unitId);
    if (leavingTotalKm !== null && from?.untilAt === null && from.vehicleId !== null)
      given.set(from.vehicleId, leavingTotalKm);
    if (to.vehicleTotalKm !== null && to.vehicleId !== null) given.set(to.vehicleId, to.vehicleTotalKm);
  }
  return given;
}

function leave(
  move: UnitMove,
  unit: UnitToMove,
  latest: PlacementRow | undefined,
  records: MoveRecords,
  given: ReadonlyMap<string, number>,
  plan: PlannedMoves,
): PlannedMoves['closings'][number] | null {
  const { at, atPointer } = records;
  const unitPointer = `${move.pointer}/gasUnitId`;
  const isFitted = latest?.untilAt === null && latest.vehicleId !== null;
  if (move.leavingTotalKm !== null && !isFitted) {
    plan.faults.push(
      invalid(
        `${move.pointer}/vehicleTotalKm`,
        `Unit ${unit.serialNumber} leaves no vehicle.`,
        'leave this distance out; the one of the vehicle that it is fitted to belongs into "to"',
      ),
    );
  }
  if (latest === undefined) return null;
  if (latest.state === 'scrapped') {
    plan.faults.push(
      conflict(
        unitPointer,
        `Unit ${unit.serialNumber} was scrapped at ${latest.fromAt.toISOString()}.`,
        'move another unit; if it was recorded as scrapped by mistake, take that record back first',
      ),
    );
    return null;
  }
  const earliest = latest.untilAt ?? latest.fromAt;
  if (latest.untilAt === null ? at <= earliest : at < earliest) {
    plan.faults.push(
      conflict(
        atPointer,
        `Unit ${unit.serialNumber} is recorded as ${placeInWords(latest)} ` +
          `${latest.untilAt === null ? 'since' : 'until'} ${earliest.toISOString()}, not before ${at.toISOString()}.`,
        'give a later moment, or take the record back if it is wrong',
      ),
    );
    return null;
  }
  if (latest.untilAt !== null) return null;
  if (isSamePlace(latest, move.to)) {
    plan.faults.push(
      conflict(
        unitPointer,
        `Unit ${unit.serialNumber} is ${placeInWords(latest)} already, since ${latest.fromAt.toISOString()}.`,
        'leave this move out',
      ),
    );
    return null;
  }
  return {
    id: latest.id,
    untilAt: at,
    vehicleTotalKmUntil: totalAtLeaving(move, latest, records, given, plan),
  };
}

function totalAtLeaving(
  move: UnitMove,
  latest: PlacementRow,
  records: MoveRecords,
  given: ReadonlyMap<string, number>,
  plan: PlannedMoves,
): number | null {
  if (latest.vehicleId === null) return null;
  const read = move.leavingTotalKm ?? given.get(latest.vehicleId) ?? null;
  const total = read ?? records.totalKmOf(latest.vehicleId);
  const atFitting = latest.vehicleTotalKmFrom;
  if (total === null || atFitting === null || total >= atFitting) return total;
  const detail =
    `${total} km is less than the ${atFitting} km that ${latest.registrationMark ?? 'the vehicle'} had when ` +
    `unit ${latest.serialNumber} was fitted.`;
  if (read === null) {
    plan.warnings.push(`${move.pointer}/vehicleTotalKm: by the readings ${detail} No distance was stored.`);
    return null;
  }
  plan.faults.push(
    invalid(
      `${move.pointer}/vehicleTotalKm`,
      detail,
      'give the total distance of the vehicle, not the trip counter',
    ),
  );
  return null;
}

function enter(
  move: UnitMove,
  unit: UnitToMove,
  moved: ReadonlySet<string>,
  records: MoveRecords,
  given: ReadonlyMap<string, number>,
  plan: PlannedMoves,
): NewPlacement | null {
  const { at, atPointer } = records;
  const { to, toPointer } = move;
  const vehicle = to.vehicleId === null ? null : records.vehicles.get(to.vehicleId);
  if (vehicle === undefined) {
    plan.faults.push(
      invalid(
        `${toPointer}/vehicleId`,
        `There is no vehicle ${to.vehicleId ?? ''}.`,
        'give the id of one of your vehicles',
      ),
    );
    return null;
  }
  if (to.depotId !== null && !records.depotIds.has(to.depotId)) {
    plan.faults.push(
      invalid(
        `${toPointer}/depotId`,
        `There is no depot ${to.depotId}.`,
        'give the id of one of your depots',
      ),
    );
  }
  // the days of the place where it goes; on the bench those of UTC
  const day = localDateAt(at.getTime(), vehicle?.zone ?? 'UTC');
  if (unit.madeOn !== null && day < unit.madeOn) {
    plan.faults.push(
      invalid(
        atPointer,
        `Unit ${unit.serialNumber} was made on ${unit.madeOn}, after ${day}.`,
        'correct the moment, or the day on which the unit was made',
      ),
    );
  }
  if (vehicle !== null && to.position !== null)
    fitInto(move, to.position, unit, vehicle, moved, records, plan);
  return {
    fleetId: vehicle?.fleetId ?? unit.fleetId,
    unitId: unit.id,
    state: to.state,
    vehicleId: to.vehicleId,
    position: to.position,
    depotId: to.depotId,
    awayWith: to.awayWith,
    fromAt: at,
    untilAt: null,
    vehicleTotalKmFrom:
      to.vehicleId === null
        ? null
        : (to.vehicleTotalKm ?? given.get(to.vehicleId) ?? records.totalKmOf(to.vehicleId)),
    vehicleTotalKmUntil: null,
    movedBy: records.movedBy,
    note: move.note,
    externalKey: null,
  };
}

function fitInto(
  move: UnitMove,
  position: string,
  unit: UnitToMove,
  vehicle: VehicleToFit,
  moved: ReadonlySet<string>,
  records: MoveRecords,
  plan: PlannedMoves,
): void {
  const { toPointer } = move;
  const objection = fittingObjection(unit, position, records.roleOf, vehicle.layout);
  if (objection !== null) {
    const pointer = objection.about === 'unit' ? `${move.pointer}/gasUnitId` : `${toPointer}/position`;
    plan.faults.push(invalid(pointer, objection.detail, objection.remedy));
    return;
  }
  const warning = fittingWarning(position, vehicle.layout);
  if (warning !== null) plan.warnings.push(`${toPointer}/position: ${warning}`);
  if (vehicle.retiredOn !== null)
    plan.warnings.push(
      `${toPointer}/vehicleId: ${vehicle.registrationMark} left the fleet on ${vehicle.retiredOn}; it owes nothing`,
    );
  for (const holder of records.holders) {
    if (holder.vehicleId !== vehicle.id || holder.position !== position) continue;
    if (holder.untilAt === null && moved.has(holder.unitId)) continue;
    if (holder.untilAt === null && holder.unitId === unit.id) continue;
    plan.faults.push(
      holder.untilAt === null
        ? conflict(
            `${toPointer}/position`,
            `Unit ${holder.serialNumber} is fitted to ${vehicle.registrationMark} at "${position}" since ${holder.fromAt.toISOString()}.`,
            `move unit ${holder.serialNumber} in the same step, or say with "displaced" where it goes`,
          )
        : conflict(
            records.atPointer,
            `Unit ${holder.serialNumber} was fitted to ${vehicle.registrationMark} at "${position}" until ${holder.untilAt.toISOString()}.`,
            'give a moment that is not before that',
          ),
    );
  }
}

function isSamePlace(placement: PlacementRow, to: Destination): boolean {
  return (
    placement.state === to.state &&
    placement.vehicleId === to.vehicleId &&
    placement.position === to.position &&
    placement.depotId === to.depotId &&
    placement.awayWith === to.awayWith
  );
}

function seatOf({ vehicleId, position }: Destination): string | null {
  return vehicleId === null || position === null ? null : `${vehicleId} ${position}`;
}
