import { DateTime } from 'luxon';
import { dayText, momentText } from './days';

const DAY = { day: 'numeric', month: 'short', year: 'numeric', timeZone: 'utc' } as const;

const MOMENT = /\b\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:Z|[+-]\d{2}:\d{2})/g;
const CALENDAR_DATE = /\b\d{4}-\d{2}-\d{2}\b(?!T)/g;

/**
 * A sentence of the API with its dates and moments as the reader writes them. One that tells how dates are to be sent
 * stays, as does what looks like a date and is none.
 *
 * @param zone IANA name, on whose clock moments are told; the reader's own where nothing else is known
 */
export function datedText(sentence: string, locale: string, zone = 'local'): string {
  if (/YYYY-MM-DD|ISO 8601/.test(sentence)) return sentence;
  return sentence
    .replace(MOMENT, (at) => (DateTime.fromISO(at).isValid ? momentText(at, zone, locale) : at))
    .replace(CALENDAR_DATE, (on) => (DateTime.fromISO(on).isValid ? dayText(on, locale) : on));
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
