import { typedNumber } from '../../../format/units';

// What people type becomes what the API takes. What cannot be read is handed on as it is: the API says what is wrong
// with it, and the form shows that at its field.

/** Null where nothing was typed. */
export const textOrNull = (text: string): string | null => (text.trim() === '' ? null : text.trim());

/** The number that was typed, null where nothing was. */
export function numberOrNull(text: string, locale: string): number | null {
  return text.trim() === '' ? null : requiredNumber(text, locale);
}

export function requiredNumber(text: string, locale: string): number {
  return typedNumber(text, locale) ?? (text as unknown as number);
}

export const shownNumber = (value: number | null | undefined): string =>
  value === null || value === undefined ? '' : String(value);

/** Words separated by commas, blanks or lines. */
export function typedWords(text: string): string[] {
  return text.split(/[\s,;]+/).filter((word) => word !== '');
}
