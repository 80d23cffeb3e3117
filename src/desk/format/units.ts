import { MILE_KM, PSI_BAR } from '../../core/shared/units-of-measure';

// Everything is stored in km and bar. People read and type what they are used to; what is typed is turned back exactly.

export const distanceUnits = ['km', 'mi'] as const;
export type DistanceUnit = (typeof distanceUnits)[number];

export const pressureUnits = ['bar', 'kPa', 'psi'] as const;
export type PressureUnit = (typeof pressureUnits)[number];

const KM_PER: Record<DistanceUnit, number> = { km: 1, mi: MILE_KM };
const BAR_PER: Record<PressureUnit, number> = { bar: 1, kPa: 0.01, psi: PSI_BAR };

/** places behind the point that a reading on a gauge of this unit means something to */
const PRESSURE_DIGITS: Record<PressureUnit, number> = { bar: 1, kPa: 0, psi: 0 };

export const fromKm = (km: number, unit: DistanceUnit): number => km / KM_PER[unit];
export const toKm = (distance: number, unit: DistanceUnit): number => distance * KM_PER[unit];
export const fromBar = (bar: number, unit: PressureUnit): number => bar / BAR_PER[unit];
export const toBar = (pressure: number, unit: PressureUnit): number => pressure * BAR_PER[unit];

/** Such as `61,240 km`. */
export function distanceText(km: number, unit: DistanceUnit, locale: string): string {
  return `${numberText(fromKm(km, unit), locale, 0)} ${unit}`;
}

/** Such as `62.0 bar`. */
export function pressureText(bar: number, unit: PressureUnit, locale: string): string {
  return `${numberText(fromBar(bar, unit), locale, PRESSURE_DIGITS[unit])} ${unit}`;
}

export function numberText(value: number, locale: string, digits: number): string {
  return new Intl.NumberFormat(locale, {
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
  }).format(value);
}

/**
 * What a person typed as a number. Both the point and the comma stand before decimals; a single one with three digits
 * behind it is read as the reader's language does, so that `61,240` is not taken for 61.24.
 *
 * @returns null where it is no number
 */
export function typedNumber(text: string, locale: string): number | null {
  const plain = text.trim().replace(/[\s\u00a0\u202f'’]/g, '');
  const match =
    /^([-+]?)(\d+)([.,])?(\d*)$/.exec(plain) ??
    /^([-+]?)(\d{1,3}(?:,\d{3})+)(\.)(\d+)$/.exec(plain) ??
    /^([-+]?)(\d{1,3}(?:\.\d{3})+)(,)(\d+)$/.exec(plain) ??
    /^([-+]?)(\d{1,3}(?:,\d{3}){2,}|\d{1,3}(?:\.\d{3}){2,})$/.exec(plain);
  if (match === null) return null;
  const [, sign = '', whole = '', mark, decimals = ''] = match;
  if (mark !== undefined && decimals === '') return null;
  const groups =
    mark !== undefined &&
    decimals.length === 3 &&
    mark === groupMarkOf(locale) &&
    /^[1-9]\d{0,2}$/.test(whole);
  const digits = whole.replace(/[.,]/g, '');
  return Number(`${sign}${digits}${groups ? '' : '.'}${decimals === '' ? '0' : decimals}`);
}

function groupMarkOf(locale: string): string | undefined {
  return new Intl.NumberFormat(locale).formatToParts(1_234_567).find(({ type }) => type === 'group')?.value;
}
