import type { FieldError } from '../../platform/errors/coded-error';
import type { PlannedRow } from '../../platform/bulk/planned-row';
import type { GasUnitType } from '../gas-unit-types/gas-unit-type.entity';
import type { GasUnit } from './gas-unit.entity';
import { asSerialNumber } from './dto/serial-number-text';
import type { GasUnitRow } from './gas-units.repository';

/** A unit as a file states it; its fields are valid by themselves. */
export interface GasUnitUploadRow {
  fleetId: string;
  unitTypeCode: string;
  serialNumber: string;
  madeOn?: string | null;
  externalKey?: string | null;
  note?: string | null;
}

export type GasUnitToAdd = Pick<
  GasUnit,
  'fleetId' | 'unitTypeId' | 'externalKey' | 'serialNumber' | 'madeOn' | 'note'
>;

export type PlannedGasUnit = PlannedRow<GasUnitRow, GasUnitToAdd>;

export interface GasUnitRecords {
  /** units with one of the keys or one of the serial numbers */
  stored: readonly GasUnitRow[];
  types: readonly Pick<GasUnitType, 'id' | 'code'>[];
  fleetIds: ReadonlySet<string>;
  latestMadeOn: string;
}

/**
 * Decides what becomes of each row. A row with a known key changes that unit, one without finds its unit by type
 * and serial number; columns that a row leaves out stay as they are. A unit that was recorded without a key takes
 * the key of the row.
 */
export function planGasUnits(rows: readonly GasUnitUploadRow[], records: GasUnitRecords): PlannedGasUnit[] {
  const typeIds = new Map(records.types.map(({ id, code }) => [code, id]));
  const byKey = new Map<string, GasUnitRow | GasUnitToAdd>();
  const bySerial = new Map<string, GasUnitRow | GasUnitToAdd>();
  const remember = (unit: GasUnitRow | GasUnitToAdd): void => {
    if (unit.externalKey !== null) byKey.set(unit.externalKey, unit);
    bySerial.set(serialOf(unit), unit);
  };
  records.stored.forEach(remember);

  return rows.map((row): PlannedGasUnit => {
    const unitTypeId = typeIds.get(row.unitTypeCode);
    if (unitTypeId === undefined) return rejected(noSuchType(row.unitTypeCode));
    if (!records.fleetIds.has(row.fleetId)) return rejected(noSuchFleet(row.fleetId));
    if (typeof row.madeOn === 'string' && row.madeOn > records.latestMadeOn)
      return rejected(madeInTheFuture(row.madeOn));
    const serialNumber = asSerialNumber(row.serialNumber);
    const key = row.externalKey ?? null;
    const sameSerial = bySerial.get(serialOf({ unitTypeId, serialNumber }));
    const known = (key === null ? undefined : byKey.get(key)) ?? sameSerial;
    if (known === undefined) {
      const unit: GasUnitToAdd = {
        fleetId: row.fleetId,
        unitTypeId,
        externalKey: key,
        serialNumber,
        madeOn: row.madeOn ?? null,
        note: row.note ?? null,
      };
      remember(unit);
      return { outcome: 'created', record: unit };
    }
    if (known.unitTypeId !== unitTypeId) return rejected(otherType(key ?? '', row.unitTypeCode));
    if (key !== null && known.externalKey !== null && known.externalKey !== key)
      return rejected(serialOfAnotherKey(serialNumber, known.externalKey));
    if (sameSerial !== undefined && sameSerial !== known) return rejected(serialTaken(serialNumber));
    const next = {
      serialNumber,
      externalKey: key ?? known.externalKey,
      madeOn: row.madeOn === undefined ? known.madeOn : row.madeOn,
      note: row.note === undefined ? known.note : row.note,
    };
    const same =
      next.serialNumber === known.serialNumber &&
      next.externalKey === known.externalKey &&
      next.madeOn === known.madeOn &&
      next.note === known.note;
    if (same) return { outcome: 'unchanged', record: known };
    bySerial.delete(serialOf(known));
    Object.assign(known, next);
    remember(known);
    return { outcome: 'updated', record: known };
  });
}

const serialOf = ({ unitTypeId, serialNumber }: Pick<GasUnitToAdd, 'unitTypeId' | 'serialNumber'>): string =>
  `${unitTypeId} ${serialNumber}`;

const rejected = (error: FieldError): PlannedGasUnit => ({ outcome: 'rejected', errors: [error] });

/** A unit that the database knows and this key does not see. */
export const unitOutOfSight: FieldError = {
  pointer: '#/serialNumber',
  detail: 'a unit outside your fleets has this key, or this type and serial number',
  remedy: 'ask for a key that sees all fleets, or correct the line',
};

const noSuchType = (code: string): FieldError => ({
  pointer: '#/unitTypeCode',
  detail: `there is no type of gas unit "${code}"`,
  remedy: 'give the code of one of your types, or add the type first',
});

const noSuchFleet = (fleetId: string): FieldError => ({
  pointer: '#/fleetKey',
  detail: `there is no fleet ${fleetId}`,
  remedy: 'give the key of one of your fleets',
});

const madeInTheFuture = (madeOn: string): FieldError => ({
  pointer: '#/madeOn',
  detail: `${madeOn} is later than today`,
  remedy: 'give the day on which the unit was made',
});

const otherType = (key: string, code: string): FieldError => ({
  pointer: '#/unitTypeCode',
  detail: `the unit with the key "${key}" is of another type than "${code}"`,
  remedy: 'correct the type, or give the unit a key of its own',
});

const serialOfAnotherKey = (serialNumber: string, key: string): FieldError => ({
  pointer: '#/serialNumber',
  detail: `the unit ${serialNumber} has the key "${key}"`,
  remedy: 'use this key, or correct the serial number',
});

const serialTaken = (serialNumber: string): FieldError => ({
  pointer: '#/serialNumber',
  detail: `another unit of this type has the serial number ${serialNumber}`,
  remedy: 'correct the serial number',
});
