import { meterAmount } from './meter-amount';
import type { ReadingUnit } from './meter-track';

/** Slips that people make when they read or type a meter. */
export type Mistake =
  'likely-unit-mix-up' | 'likely-extra-digit' | 'likely-missing-digit' | 'likely-transposed-digits';

/** What the reading would have been, had that slip not been made. */
export interface Correction {
  readonly mistake: Mistake;
  readonly value: number;
  readonly unit: ReadingUnit;
  /** The digit too many is the twin of its neighbour: by far the commonest way to type one. */
  readonly isDoubledDigit: boolean;
  readonly sentence: string;
}

/**
 * Every value that a single slip could have turned into the one given: the other unit of distance, one
 * digit left out or added anywhere, two neighbouring digits swapped. Digits after the decimal point are
 * not touched. Each value once per kind of slip; a leading zero is none that anybody would have read.
 *
 * @param value at least zero
 */
export function likelyCorrections(value: number, unit: ReadingUnit): Correction[] {
  const corrections: Correction[] = [];
  if (unit !== 'h') {
    const other = unit === 'km' ? 'mi' : 'km';
    corrections.push({
      mistake: 'likely-unit-mix-up',
      value,
      unit: other,
      isDoubledDigit: false,
      sentence: `It fits if the figure is in ${other}, not ${unit}.`,
    });
  }
  // beyond these String() writes exponents
  if (value >= 1e15 || (value > 0 && value < 1e-6)) return corrections;
  const [digits = '', decimals = ''] = String(value).split('.');
  const seen = new Set<string>();
  const propose = (mistake: Mistake, text: string, slip: string, isDoubledDigit = false): void => {
    if (text === '' || text === digits || (text.length > 1 && text.startsWith('0'))) return;
    if (seen.has(`${mistake} ${text}`)) return;
    seen.add(`${mistake} ${text}`);
    const corrected = Number(`${text}.${decimals}`);
    corrections.push({
      mistake,
      value: corrected,
      unit,
      isDoubledDigit,
      sentence: `${slip}: ${meterAmount(corrected, unit)} would fit.`,
    });
  };
  for (let i = 0; i < digits.length; i++) {
    const head = digits.slice(0, i);
    const tail = digits.slice(i);
    propose(
      'likely-extra-digit',
      head + tail.slice(1),
      'There may be a digit too many',
      tail.length > 1 && tail.charAt(0) === tail.charAt(1),
    );
    if (tail.length > 1) {
      const swapped = `${head}${tail.charAt(1)}${tail.charAt(0)}${tail.slice(2)}`;
      propose('likely-transposed-digits', swapped, 'Two digits may be swapped');
    }
  }
  for (let i = 0; i <= digits.length; i++) {
    for (let digit = 0; digit <= 9; digit++) {
      const text = `${digits.slice(0, i)}${digit}${digits.slice(i)}`;
      propose('likely-missing-digit', text, 'A digit may be missing');
    }
  }
  return corrections;
}
