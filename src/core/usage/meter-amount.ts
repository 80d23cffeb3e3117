import type { ReadingUnit } from './meter-track';

const numberFormat = new Intl.NumberFormat('en-GB', { maximumFractionDigits: 1 });

/** A meter value for a sentence, such as `96,080.5 km`; at most one decimal. */
export function meterAmount(value: number, unit: ReadingUnit): string {
  return `${numberFormat.format(value)} ${unit}`;
}
