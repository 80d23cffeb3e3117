import { fromBar, toBar, typedNumber, type PressureUnit } from '../../../format/units';
import type { Quantity } from './step-fields';

/** Who reads a figure, and in what. */
export interface FigureReader {
  locale: string;
  pressureUnit: PressureUnit;
}

const UNITS: Record<Exclude<Quantity, 'pressure' | 'odometer' | 'applications'>, string> = {
  celsius: '°C',
  seconds: 's',
  hours: 'h',
  millimetres: 'mm',
  'litres-per-minute': 'l/min',
  'engine-hours': 'h',
};

/** What stands behind the field. @param odometerUnit of the vehicle */
export function unitOf(
  quantity: Quantity,
  { pressureUnit }: FigureReader,
  odometerUnit: string,
): string | undefined {
  if (quantity === 'pressure') return pressureUnit;
  if (quantity === 'odometer') return odometerUnit;
  return quantity === 'applications' ? undefined : UNITS[quantity];
}

/** What was typed as it is stored; null where it is no number. */
export function typedFigure(text: string, quantity: Quantity, reader: FigureReader): number | null {
  const value = typedNumber(text, reader.locale);
  return value === null || quantity !== 'pressure' ? value : toBar(value, reader.pressureUnit);
}

/** A stored figure as it is typed: without groups of digits, so that it can be typed over. */
export function figureText(value: number | null, quantity: Quantity, reader: FigureReader): string {
  if (value === null) return '';
  const shown = quantity === 'pressure' ? fromBar(value, reader.pressureUnit) : value;
  return new Intl.NumberFormat(reader.locale, { maximumFractionDigits: 2, useGrouping: false }).format(shown);
}
