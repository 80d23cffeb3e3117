import type { UnitPlacementState, UnitRole } from '../../core/hydraulics/unit-positions';
import { localDateAt } from '../../core/shared/calendar-date';
import { keyOfAnotherVehicle, noSuchVehicle, type PlannedRow } from '../../platform/bulk/planned-row';
import type { FieldError } from '../../platform/errors/coded-error';
import { destinationOf } from './destination-of';
import { fittingObjection } from './fitting-checks';
import type { UnitToMove } from './gas-units.repository';
import { placeInWords, type PlacementRow } from './placement-row';
import type { NewPlacement, VehicleToFit } from './unit-placements.repository';

/** A period of a unit's history as a file states it; its fields are valid by themselves. */
export interface PlacementUploadRow {
  unitId: string;
  state: UnitPlacementState;
  vehicleId?: string | null;
  position?: string | null;
  depotId?: string | null;
  awayWith?: string | null;
  fromAt: Date;
  /** left out, it is there still */
  untilAt?: Date | null;
  vehicleTotalKmFrom?: number | null;
  vehicleTotalKmUntil?: number | null;
  movedBy?: string | null;
  note?: string | null;
  externalKey?: string | null;
}

export type PlannedPlacement = PlannedRow<PlacementRow, NewPlacement>;

export interface PlacementRecords {
  /** every period of the units and at the positions, and those that have one of the keys */
  stored: readonly PlacementRow[];
  units: ReadonlyMap<string, UnitToMove>;
  vehicles: ReadonlyMap<string, VehicleToFit>;
  depotIds: ReadonlySet<string>;
  roleOf: ReadonlyMap<string, UnitRole>;
  nowAt: Date;
  recordedBy: string;
}

type Period = PlacementRow | NewPlacement;

/**
 * Decides what becomes of each row; the rows of a unit come in the order of time. A period is found again by its
 * key, or by its unit, place and beginning; what is known better of it by now (its end, its distances, its note) is
 * changed. One that overlaps another period of the unit, or of another unit at the same position, is refused.
 */
export function planPlacements(
  rows: readonly PlacementUploadRow[],
  records: PlacementRecords,
): PlannedPlacement[] {
  const byKey = new Map<string, Period>();
  const ofUnit = new Map<string, Period[]>();
  const atSeat = new Map<string, Period[]>();
  const remember = (period: Period): void => {
    if (period.externalKey !== null) byKey.set(period.externalKey, period);
    listIn(ofUnit, period.unitId).push(period);
    const seat = seatOf(period);
    if (seat !== null) listIn(atSeat, seat).push(period);
  };
  records.stored.forEach(remember);

  return rows.map((row): PlannedPlacement => {
    const unit = records.units.get(row.unitId);
    if (unit === undefined) return rejected([noSuchUnit(row.unitId)]);
    const period = periodOf(row, unit, records);
    const own = listIn(ofUnit, unit.id);
    const sameKey = period.externalKey === null ? undefined : byKey.get(period.externalKey);
    if (sameKey !== undefined && !isSame(sameKey, period))
      return rejected([keyOfAnotherPeriod(period.externalKey ?? '')]);
    const known = sameKey ?? own.find((each) => isSame(each, period));
    if (known !== undefined && isEqual(known, period)) return { outcome: 'unchanged', record: known };
    const faults = faultsOf(row, period, unit, records);
    if (faults.length > 0) return rejected(faults);
    const next = known === undefined ? period : { ...known, ...betterKnown(known, period) };
    const overlapping = [...own, ...(atSeat.get(seatOf(period) ?? '') ?? [])].find(
      (each) => each !== known && overlaps(each, next),
    );
    if (overlapping !== undefined) return rejected([overlapsWith(overlapping, records)]);
    if (known === undefined) {
      remember(period);
      return { outcome: 'created', record: period };
    }
    if (isEqual(known, next)) return { outcome: 'unchanged', record: known };
    Object.assign(known, betterKnown(known, period));
    return { outcome: 'updated', record: known };
  });
}

function listIn(map: Map<string, Period[]>, key: string): Period[] {
  const list = map.get(key) ?? [];
  map.set(key, list);
  return list;
}

function periodOf(row: PlacementUploadRow, unit: UnitToMove, records: PlacementRecords): NewPlacement {
  return {
    fleetId: unit.fleetId,
    unitId: unit.id,
    state: row.state,
    vehicleId: row.vehicleId ?? null,
    position: row.position ?? null,
    depotId: row.depotId ?? null,
    awayWith: row.awayWith ?? null,
    fromAt: row.fromAt,
    untilAt: row.untilAt ?? null,
    vehicleTotalKmFrom: row.vehicleTotalKmFrom ?? null,
    vehicleTotalKmUntil: row.vehicleTotalKmUntil ?? null,
    movedBy: row.movedBy ?? records.recordedBy,
    note: row.note ?? null,
    externalKey: row.externalKey ?? null,
  };
}

function faultsOf(
  row: PlacementUploadRow,
  period: NewPlacement,
  unit: UnitToMove,
  records: PlacementRecords,
): FieldError[] {
  const faults = destinationOf({ ...row, vehicleTotalKm: null }, '#').faults.map(({ field }) => field);
  const { vehicleId, position, fromAt, untilAt, vehicleTotalKmFrom, vehicleTotalKmUntil } = period;
  const says = (pointer: string, detail: string, remedy: string): number =>
    faults.push({ pointer, detail, remedy });
  if (fromAt > records.nowAt) says('#/fromAt', `${fromAt.toISOString()} is later than now`, NOT_YET);
  if (untilAt !== null && untilAt > records.nowAt)
    says('#/untilAt', `${untilAt.toISOString()} is later than now`, NOT_YET);
  if (untilAt !== null && untilAt <= fromAt)
    says('#/untilAt', `${untilAt.toISOString()} is not after ${fromAt.toISOString()}`, 'give a later end');
  if (period.state === 'scrapped' && untilAt !== null)
    says('#/untilAt', 'a scrapped unit stays scrapped', 'leave the end out');
  if (vehicleId === null && (vehicleTotalKmFrom !== null || vehicleTotalKmUntil !== null))
    says(
      '#/vehicleTotalKmFrom',
      'there is no vehicle whose distance this could be',
      'leave the distances out',
    );
  if (untilAt === null && vehicleTotalKmUntil !== null)
    says('#/vehicleTotalKmUntil', 'the unit has not been taken out', 'leave it out, or give untilAt');
  if (vehicleTotalKmFrom !== null && vehicleTotalKmUntil !== null && vehicleTotalKmUntil < vehicleTotalKmFrom)
    says(
      '#/vehicleTotalKmUntil',
      `${vehicleTotalKmUntil} km is less than the ${vehicleTotalKmFrom} km at the fitting`,
      'give total distances of the vehicle',
    );
  if (period.depotId !== null && !records.depotIds.has(period.depotId))
    says('#/depotKey', `there is no depot ${period.depotId}`, 'give the key of one of your depots');
  const vehicle = vehicleId === null ? null : records.vehicles.get(vehicleId);
  if (vehicle === undefined) return [...faults, noSuchVehicle(vehicleId ?? '')];
  const fromOn = localDateAt(fromAt.getTime(), vehicle?.zone ?? 'UTC');
  if (unit.madeOn !== null && fromOn < unit.madeOn)
    says(
      '#/fromAt',
      `the unit was made on ${unit.madeOn}, after ${fromOn}`,
      'correct the moment, or the unit',
    );
  if (vehicle !== null && position !== null) {
    const objection = fittingObjection(unit, position, records.roleOf, vehicle.layout);
    if (objection !== null)
      says(objection.about === 'unit' ? '#/unitKey' : '#/position', objection.detail, objection.remedy);
  }
  return faults;
}

const NOT_YET = 'record what has happened';

/** What a later line may know better of a period on record. */
function betterKnown(known: Period, row: NewPlacement) {
  return {
    untilAt: row.untilAt ?? known.untilAt,
    vehicleTotalKmFrom: row.vehicleTotalKmFrom ?? known.vehicleTotalKmFrom,
    vehicleTotalKmUntil: row.vehicleTotalKmUntil ?? known.vehicleTotalKmUntil,
    note: row.note ?? known.note,
  };
}

function isSame(a: Period, b: Period): boolean {
  return (
    a.unitId === b.unitId &&
    a.state === b.state &&
    a.vehicleId === b.vehicleId &&
    a.position === b.position &&
    a.depotId === b.depotId &&
    a.fromAt.getTime() === b.fromAt.getTime()
  );
}

function isEqual(a: Period, b: Period): boolean {
  return (
    isSame(a, b) &&
    a.untilAt?.getTime() === b.untilAt?.getTime() &&
    a.vehicleTotalKmFrom === b.vehicleTotalKmFrom &&
    a.vehicleTotalKmUntil === b.vehicleTotalKmUntil &&
    a.note === b.note
  );
}

function overlaps(a: Period, b: Pick<Period, 'fromAt' | 'untilAt'>): boolean {
  return (a.untilAt === null || a.untilAt > b.fromAt) && (b.untilAt === null || b.untilAt > a.fromAt);
}

const seatOf = ({ vehicleId, position }: Period): string | null =>
  vehicleId === null || position === null ? null : `${vehicleId} ${position}`;

const rejected = (errors: FieldError[]): PlannedPlacement => ({ outcome: 'rejected', errors });

const noSuchUnit = (unitId: string): FieldError => ({
  pointer: '#/unitKey',
  detail: `there is no gas unit ${unitId}`,
  remedy: 'give the key of one of your gas units',
});

const keyOfAnotherPeriod = (externalKey: string): FieldError => ({
  ...keyOfAnotherVehicle(externalKey),
  detail: `"${externalKey}" is the key of another period`,
  remedy: 'use another key; a period keeps its unit, its place and its beginning',
});

function overlapsWith(period: Period, { units, vehicles }: PlacementRecords): FieldError {
  const serialNumber =
    units.get(period.unitId)?.serialNumber ?? ('serialNumber' in period ? period.serialNumber : '');
  const registrationMark = vehicles.get(period.vehicleId ?? '')?.registrationMark ?? null;
  const end = period.untilAt === null ? 'until now' : `until ${period.untilAt.toISOString()}`;
  return {
    pointer: '#/fromAt',
    detail: `unit ${serialNumber} is on record as ${placeInWords({ ...period, registrationMark })} from ${period.fromAt.toISOString()} ${end}`,
    remedy:
      'a unit is in one place and a position holds one unit: give a period that is free, or end the other one first',
  };
}
