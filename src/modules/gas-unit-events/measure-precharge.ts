import { normalisePrecharge, type NormalisedPrecharge } from '../../core/gas/normalise-precharge';
import { isCalibrationOverdue } from '../../core/hydraulics/gauge-calibration';
import { localDateAt, type CalendarDate } from '../../core/shared/calendar-date';
import { InputError } from '../../core/shared/input-error';
import { parseInstant } from '../../core/shared/instant';
import type { PrechargeObservationKind } from '../../core/precharge/precharge-model';
import type { FieldError } from '../../platform/errors/coded-error';
import { fieldPointer } from '../../platform/http/field-pointer';
import { unknownGauge } from './gas-unit-events.errors';
import type { ReadGauge } from '../gauges/gauge.entity';
import { periodAt, placeAt, type MeasuredUnit, type UnitPlace } from './measured-unit';

/** A pressure read on a unit, as it is handed over; its fields are valid by themselves. */
export interface PrechargeReadingRow {
  kind: PrechargeObservationKind;
  /** RFC 3339 */
  doneAt: string;
  pressureBarGauge: number;
  gasTemperatureC: number;
  ambientBar?: number | null;
  altitudeM?: number | null;
  gaugeId?: string | null;
  doneBy: string;
  note?: string | null;
  externalKey?: string | null;
}

/** A reading that can be true, with where and when it was taken. */
export interface MeasuredPrecharge {
  row: PrechargeReadingRow;
  doneAt: number;
  /** the day at the unit's depot */
  doneOn: CalendarDate;
  place: UnitPlace;
  normalised: NormalisedPrecharge;
  gaugeOverdue: boolean | null;
}

/**
 * Holds a reading against the unit, the gauge and the range of the gas calculations.
 *
 * @param gauge the one that the reading names; undefined where there is no such gauge, null where it names none
 * @param now milliseconds
 */
export function measurePrecharge(
  row: PrechargeReadingRow,
  unit: MeasuredUnit,
  gauge: ReadGauge | null | undefined,
  now: number,
): MeasuredPrecharge | { faults: FieldError[] } {
  const doneAt = parseInstant(row.doneAt, 'doneAt');
  const doneOn = localDateAt(doneAt, unit.zone);
  const faults = [...momentFaults(row.doneAt, doneAt, doneOn, unit, now)];
  if (gauge === undefined) faults.push(unknownGauge(row.gaugeId ?? ''));
  else if (gauge !== null) faults.push(...gaugeFaults(row.pressureBarGauge, doneOn, gauge));
  const normalised = normalisedOrFault(row);
  if ('faults' in normalised) return { faults: [...faults, ...normalised.faults] };
  if (faults.length > 0) return { faults };
  return {
    row,
    doneAt,
    doneOn,
    place: placeAt(unit, doneAt),
    normalised,
    gaugeOverdue: isCalibrationOverdue(gauge, doneOn),
  };
}

function normalisedOrFault({
  pressureBarGauge,
  gasTemperatureC,
  ambientBar,
  altitudeM,
}: PrechargeReadingRow): NormalisedPrecharge | { faults: FieldError[] } {
  try {
    return normalisePrecharge({
      pressureBarGauge,
      gasTemperatureC,
      ambientBar: ambientBar ?? undefined,
      altitudeM: altitudeM ?? undefined,
    });
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const { field, message, remedy } = error;
    return { faults: [{ pointer: fieldPointer(field.split('.')), detail: message, remedy }] };
  }
}

function momentFaults(
  text: string,
  doneAt: number,
  doneOn: CalendarDate,
  unit: MeasuredUnit,
  now: number,
): FieldError[] {
  const pointer = '#/doneAt';
  if (doneAt > now) {
    const detail = `${text} is in the future: it is ${new Date(now).toISOString()} now`;
    return [{ pointer, detail, remedy: 'record the work once it is done' }];
  }
  if (unit.madeOn !== null && doneOn < unit.madeOn) {
    const detail = `unit ${unit.serialNumber} was made on ${unit.madeOn}, after ${doneOn}`;
    return [{ pointer, detail, remedy: 'correct the moment, or the date of manufacture if that is wrong' }];
  }
  const period = periodAt(unit, doneAt);
  if (period?.state === 'scrapped') {
    const detail = `unit ${unit.serialNumber} has been scrapped since ${new Date(period.fromAt).toISOString()}`;
    return [
      { pointer, detail, remedy: 'check the serial number, or give the moment before it was scrapped' },
    ];
  }
  return [];
}

function gaugeFaults(pressureBarGauge: number, doneOn: CalendarDate, gauge: ReadGauge): FieldError[] {
  const faults: FieldError[] = [];
  if (gauge.retiredOn !== null && doneOn >= gauge.retiredOn) {
    faults.push({
      pointer: '#/gaugeId',
      detail: `gauge ${gauge.code} was retired on ${gauge.retiredOn}`,
      remedy: 'name the gauge that was used, or leave it out',
    });
  }
  if (pressureBarGauge > gauge.rangeHighBarGauge) {
    faults.push({
      pointer: '#/pressureBarGauge',
      detail: `${pressureBarGauge} bar is beyond the ${gauge.rangeHighBarGauge} bar that gauge ${gauge.code} shows at most`,
      remedy: 'give the pressure in bar, and the gauge that it was read on',
    });
  }
  return faults;
}
