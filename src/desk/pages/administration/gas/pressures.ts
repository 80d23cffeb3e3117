import { fromBar, toBar, type PressureUnit } from '../../../format/units';
import { numberOrNull } from '../parts/typed';

/** A pressure as a form shows it, in the reader's unit; digits that a conversion made up are left off. */
export function shownPressure(bar: number | null | undefined, unit: PressureUnit): string {
  if (bar === null || bar === undefined) return '';
  return String(Number(fromBar(bar, unit).toPrecision(7)));
}

/** In bar, whatever it was typed in; a value that nobody touched stays exactly what it was. */
export function typedPressure(
  text: string,
  unit: PressureUnit,
  locale: string,
  before: number | null | undefined = null,
): number | null {
  if (before !== null && text === shownPressure(before, unit)) return before;
  const value = numberOrNull(text, locale);
  return typeof value === 'number' ? Number(toBar(value, unit).toPrecision(10)) : value;
}
