import { DateTime } from 'luxon';
import { isoWeek } from '../../core/shared/iso-week';

/** Such as `Tue 1 Dec 2026`, in the reader's own way. @param on a calendar date, `YYYY-MM-DD` */
export function dayText(on: string, locale: string): string {
  return DateTime.fromISO(on, { zone: 'utc', locale }).toLocaleString({
    weekday: 'short',
    day: 'numeric',
    month: 'short',
    year: 'numeric',
  });
}

/** Such as `Tue 1 Dec`, where many days stand together. @param on a calendar date, `YYYY-MM-DD` */
export function dayInYearText(on: string, locale: string): string {
  return DateTime.fromISO(on, { zone: 'utc', locale }).toLocaleString({
    weekday: 'short',
    day: 'numeric',
    month: 'short',
  });
}

/** Such as `09:30`, where the work is done. */
export function timeText(at: string, zone: string, locale: string): string {
  return DateTime.fromISO(at, { zone, locale }).toLocaleString({ hour: '2-digit', minute: '2-digit' });
}

/** Such as `Tue 1 Dec 2026, 09:30`, where the work is done. */
export function momentText(at: string, zone: string, locale: string): string {
  const moment = DateTime.fromISO(at, { zone, locale });
  return `${dayText(moment.toISODate() ?? at, locale)}, ${timeText(at, zone, locale)}`;
}

/** ISO 8601 week, such as `2026-W49`. */
export function weekText(on: string): string {
  const { year, week } = isoWeek(on);
  return `${year}-W${String(week).padStart(2, '0')}`;
}

/** Such as `1 h 30 min`. */
export function minutesText(minutes: number): string {
  const [hours, rest] = [Math.floor(minutes / 60), Math.round(minutes % 60)];
  return [hours > 0 ? `${hours} h` : '', rest > 0 || hours === 0 ? `${rest} min` : '']
    .filter((each) => each !== '')
    .join(' ');
}

/** The calendar date at a place now. */
export function todayOn(zone: string): string {
  return DateTime.now().setZone(zone).toISODate() ?? '';
}

const TYPED_MOMENT = "yyyy-MM-dd'T'HH:mm";

/** Now on the clock of a place, as a field for day and time takes it. @param zone IANA name */
export function nowAsTyped(zone: string): string {
  return DateTime.now().setZone(zone).toFormat(TYPED_MOMENT);
}

/** As a field for day and time shows an instant, on the clock of the place. */
export function localMoment(at: string | null, zone: string): string {
  return at === null ? '' : DateTime.fromISO(at, { zone }).toFormat(TYPED_MOMENT);
}

/** The instant of a day and time on the clock of the place. */
export function instantOf(local: string, zone: string): string {
  const moment = DateTime.fromISO(local, { zone });
  return moment.isValid ? moment.toUTC().toISO({ suppressMilliseconds: true }) : local;
}
