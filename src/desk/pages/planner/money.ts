import { numberText } from '../../format/units';

/** Such as `EUR 1,234.50`: amounts are whole hundredths of the currency, and its ISO 4217 code stands with them. */
export function moneyText(minor: number, currency: string, locale: string): string {
  return `${currency} ${numberText(minor / 100, locale, 2)}`;
}

/** What something has more or less than something else, such as `EUR +12.00`. */
export function differenceText(minor: number, currency: string, locale: string): string {
  return `${currency} ${signedText(minor / 100, locale, 2)}`;
}

/** Such as `+3`, `−3` or `0`. */
export function signedText(value: number, locale: string, digits: number): string {
  return new Intl.NumberFormat(locale, {
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
    signDisplay: 'exceptZero',
  }).format(value);
}
