import { parseInstant } from '../../core/shared/instant';
import type { ReadingUnit } from '../../core/usage/meter-track';
import { keyOfAnotherVehicle, noSuchVehicle, type PlannedRow } from '../../platform/bulk/planned-row';
import type { FieldError } from '../../platform/errors/coded-error';
import type { VehiclePlace } from '../due-items/vehicle-place';
import type { OdometerReplacement } from './odometer-replacement.entity';
import { anotherReplacementThen, unitsOfAnotherMeter } from './odometer-replacements.errors';
import type { NewReplacement } from './odometer-replacements.repository';

/** A replacement as a file or a request states it; its fields are valid by themselves. */
export interface OdometerReplacementRow {
  vehicleId: string;
  /** the odometer unless given */
  meter?: 'odometer' | 'engine-hours' | null;
  /** RFC 3339 with its offset */
  replacedAt: string;
  oldFinalValue: number;
  /** the vehicle's unit unless given */
  oldUnit?: ReadingUnit | null;
  newInitialValue: number;
  /** the old instrument's unit unless given */
  newUnit?: ReadingUnit | null;
  note?: string | null;
  externalKey?: string | null;
}

/** What becomes of a row, as far as it can be decided without the readings. */
export interface PlannedReplacement {
  planned: PlannedRow<OdometerReplacement, NewReplacement>;
  /** values to write, which the readings may still contradict */
  values: NewReplacement | null;
  /** record whose values they take the place of */
  corrects: OdometerReplacement | null;
}

export function completedReplacement(row: OdometerReplacementRow, place: VehiclePlace): NewReplacement {
  const meter = row.meter ?? 'odometer';
  const oldUnit = row.oldUnit ?? (meter === 'odometer' ? place.odometerUnit : 'h');
  return {
    vehicleId: row.vehicleId,
    fleetId: place.fleetId,
    meter,
    at: parseInstant(row.replacedAt, 'replacedAt'),
    oldFinalValue: row.oldFinalValue,
    oldUnit,
    newInitialValue: row.newInitialValue,
    newUnit: row.newUnit ?? oldUnit,
    note: row.note ?? null,
    externalKey: row.externalKey ?? null,
  };
}

/**
 * Decides what becomes of each row by the replacements on file. A row with a known key updates that
 * replacement, save for its meter; one without a key that repeats one on file changes nothing; one that
 * contradicts another of the same moment is refused.
 *
 * @param stored every replacement of the vehicles, and those that have one of the keys
 */
export function planReplacements(
  rows: readonly OdometerReplacementRow[],
  stored: readonly OdometerReplacement[],
  placeOf: (vehicleId: string) => VehiclePlace | undefined,
): PlannedReplacement[] {
  const byKey = new Map(stored.map((each) => [each.externalKey, each]));
  const byMoment = new Map<string, OdometerReplacement | NewReplacement>(
    stored.map((each) => [momentOf({ ...each, at: each.replacedAt.getTime() }), each]),
  );
  const newByKey = new Map<string, NewReplacement>();

  return rows.map((row): PlannedReplacement => {
    const place = placeOf(row.vehicleId);
    if (place === undefined) return refused(noSuchVehicle(row.vehicleId));
    const record = completedReplacement(row, place);
    const { externalKey } = record;
    const wrongUnits = unitsOfAnotherMeter(record.meter, record);
    if (wrongUnits.length > 0) return refused(...wrongUnits);
    const sameKey = externalKey === null ? undefined : byKey.get(externalKey);
    if (sameKey !== undefined && (sameKey.vehicleId !== record.vehicleId || sameKey.meter !== record.meter)) {
      return refused(keyOfAnotherVehicle(externalKey ?? ''));
    }
    const sameMoment = byMoment.get(momentOf(record));
    const repeated = sameKey ?? (externalKey === null ? sameMoment : newByKey.get(externalKey));
    if (repeated !== undefined && isSame(repeated, record)) {
      return { planned: { outcome: 'unchanged', record: repeated }, values: null, corrects: null };
    }
    if (sameMoment !== undefined && sameMoment !== sameKey) {
      return refused(anotherReplacementThen(record.at));
    }
    if (sameKey !== undefined) {
      return { planned: { outcome: 'updated', record: sameKey }, values: record, corrects: sameKey };
    }
    byMoment.set(momentOf(record), record);
    if (externalKey !== null) newByKey.set(externalKey, record);
    return { planned: { outcome: 'created', record }, values: record, corrects: null };
  });
}

function refused(...errors: FieldError[]): PlannedReplacement {
  return { planned: { outcome: 'rejected', errors }, values: null, corrects: null };
}

function momentOf({ vehicleId, meter, at }: Pick<NewReplacement, 'vehicleId' | 'meter' | 'at'>): string {
  return `${vehicleId} ${meter} ${at}`;
}

function isSame(a: OdometerReplacement | NewReplacement, b: NewReplacement): boolean {
  return (
    ('at' in a ? a.at : a.replacedAt.getTime()) === b.at &&
    a.oldFinalValue === b.oldFinalValue &&
    a.oldUnit === b.oldUnit &&
    a.newInitialValue === b.newInitialValue &&
    a.newUnit === b.newUnit
  );
}
