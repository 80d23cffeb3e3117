import { typedNumber } from '../../format/units';

/** Hundredths as they are typed into a field, without the marks between thousands. */
export function amountText(minor: number, locale: string): string {
  return new Intl.NumberFormat(locale, {
    minimumFractionDigits: 2,
    maximumFractionDigits: 2,
    useGrouping: false,
  }).format(minor / 100);
}

/** What was typed as an amount, in whole hundredths; null where it is none or below 0. */
export function typedAmount(text: string, locale: string): number | null {
  const value = typedNumber(text, locale);
  return value === null || value < 0 ? null : Math.round(value * 100);
}
