import { DateTime } from 'luxon';
import { addDays, isCalendarDate } from './calendar-date';
import { InputError } from './input-error';

const RFC_3339 =
  /^(\d{4}-\d{2}-\d{2})[Tt]([01]\d|2[0-3]):([0-5]\d):([0-5]\d|60)(\.\d+)?([Zz]|[+-](?:[01]\d|2[0-3]):[0-5]\d)$/;

/**
 * Reads an instant written as RFC 3339, in milliseconds since 1970-01-01T00:00:00Z. The offset is required:
 * without it the instant would depend on where the reader sits. Digits beyond the millisecond are cut off.
 * A leap second (23:59:60 UTC at the end of a month) counts as the second before it. Years 0001 to 9999.
 *
 * @throws InputError naming `field`
 */
export function parseInstant(text: string, field = 'instant'): number {
  const match = RFC_3339.exec(text);
  const [, date = '', hour = '', minute = '', second = '', fraction = '', offset = ''] = match ?? [];
  if (!match || !isCalendarDate(date)) {
    throw new InputError(
      field,
      `"${text}" is not an instant`,
      'give an existing date and time with an offset, such as 2026-03-29T08:30:00Z or 2026-03-29T09:30:00+01:00',
    );
  }
  const isLeapSecond = second === '60';
  const time = `${hour}:${minute}:${isLeapSecond ? '59' : second}${fraction.slice(0, 4)}`;
  const instant = DateTime.fromISO(`${date}T${time}${offset.toUpperCase()}`, { zone: 'utc' });
  if (isLeapSecond && !isEndOfUtcMonth(instant)) {
    throw new InputError(
      field,
      `"${text}" has a second 60 that is not a leap second`,
      'give seconds from 00 to 59; a leap second only ends the last UTC minute of a month',
    );
  }
  return instant.toMillis();
}

/** RFC 3339 text of an instant in UTC with milliseconds, as the API writes it. */
export function formatInstant(instant: number): string {
  return new Date(instant).toISOString();
}

function isEndOfUtcMonth(instant: DateTime): boolean {
  return instant.toFormat('HH:mm') === '23:59' && addDays(instant.toFormat('yyyy-MM-dd'), 1).endsWith('-01');
}
