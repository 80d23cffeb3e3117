import { DateTime } from 'luxon';
import { dayText } from '../../format/days';

const DAY = { day: 'numeric', month: 'short', year: 'numeric', timeZone: 'utc' } as const;

/** A sentence of the API with its dates as the reader writes them. */
export function datedText(sentence: string, locale: string): string {
  return sentence.replace(/\b\d{4}-\d{2}-\d{2}\b/g, (on) => dayText(on, locale));
}

/** Such as `12 Nov 2026`, for lists of many days. */
export function shortDay(on: string, locale: string): string {
  return new Intl.DateTimeFormat(locale, DAY).format(asDate(on));
}

/** Such as `29 Sept – 12 Nov 2026`. */
export function rangeText(fromOn: string, untilOn: string, locale: string): string {
  return new Intl.DateTimeFormat(locale, DAY).formatRange(asDate(fromOn), asDate(untilOn));
}

const asDate = (on: string): Date => DateTime.fromISO(on, { zone: 'utc' }).toJSDate();
