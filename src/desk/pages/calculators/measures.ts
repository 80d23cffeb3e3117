import { fromBar, numberText, pressureText, toBar, typedNumber, type PressureUnit } from '../../format/units';
import type { Measure } from './calculator';

export interface FigureReader {
  locale: string;
  pressureUnit: PressureUnit;
}

interface Shown {
  unit: string;
  /** places behind the point that mean something */
  digits: number;
}

const SHOWN: Record<Exclude<Measure, 'pressure' | 'share'>, Shown> = {
  celsius: { unit: '°C', digits: 1 },
  litres: { unit: 'l', digits: 3 },
  millilitres: { unit: 'ml', digits: 1 },
  'litres-per-minute': { unit: 'l/min', digits: 2 },
  'millilitres-per-minute': { unit: 'ml/min', digits: 1 },
  seconds: { unit: 's', digits: 1 },
  kilograms: { unit: 'kg', digits: 0 },
  millimetres: { unit: 'mm', digits: 1 },
  metres: { unit: 'm', digits: 0 },
  'newtons-per-metre': { unit: 'N/m', digits: 0 },
  hertz: { unit: 'Hz', digits: 2 },
  number: { unit: '', digits: 2 },
};

/** What stands behind a field. */
export function unitText(measure: Measure, { pressureUnit }: FigureReader): string | undefined {
  if (measure === 'pressure') return pressureUnit;
  if (measure === 'share') return undefined;
  return SHOWN[measure].unit === '' ? undefined : SHOWN[measure].unit;
}

/** What was typed as it is kept; undefined where it is no number. */
export function typedMeasure(text: string, measure: Measure, reader: FigureReader): number | undefined {
  const value = typedNumber(text, reader.locale);
  if (value === null) return undefined;
  return measure === 'pressure' ? toBar(value, reader.pressureUnit) : value;
}

/** A kept figure as it is typed. */
export function fieldText(value: number | undefined, measure: Measure, reader: FigureReader): string {
  if (value === undefined) return '';
  const shown = measure === 'pressure' ? fromBar(value, reader.pressureUnit) : value;
  return new Intl.NumberFormat(reader.locale, { maximumFractionDigits: 4, useGrouping: false }).format(shown);
}

/** A result for people, with its unit. */
export function resultText(
  value: number | null,
  measure: Measure,
  { locale, pressureUnit }: FigureReader,
): string {
  if (value === null) return 'none';
  if (measure === 'pressure') return pressureText(value, pressureUnit, locale);
  if (measure === 'share') return `${numberText(100 * value, locale, 1)} %`;
  const { unit, digits } = SHOWN[measure];
  const whole = measure === 'number' && Number.isInteger(value);
  return `${numberText(value, locale, whole ? 0 : digits)} ${unit}`.trim();
}
