import { IANAZone } from 'luxon';
import { CalendarDate, isTimeZone, toEpochDay } from './calendar-date';
import { InputError } from './input-error';

/**
 * What a wall-clock time means where a clock change repeats it or leaves it out. `earlier` and `later` name
 * the instant; `compatible` (RFC 5545 and common practice) takes the earlier of a repeated time, and moves a
 * missing one forwards by the length of the gap.
 */
export type Disambiguation = 'compatible' | 'earlier' | 'later';

const LOCAL_TIME = /^([01]\d|2[0-3]):([0-5]\d)(?::([0-5]\d))?$/;
const MILLISECONDS_PER_DAY = 86_400_000;

/**
 * The instant at which a wall clock in `zone` shows `time` on `date`, in milliseconds since the epoch.
 *
 * @param time `HH:MM` or `HH:MM:SS`, 00:00 to 23:59:59
 * @param zone IANA name
 * @throws InputError naming `time` or `zone`
 */
export function instantAtLocalTime(
  date: CalendarDate,
  time: string,
  zone: string,
  disambiguation: Disambiguation = 'compatible',
): number {
  const match = LOCAL_TIME.exec(time);
  if (!match) throw new InputError('time', `"${time}" is not a time of day`, 'give it as HH:MM or HH:MM:SS');
  if (!isTimeZone(zone))
    throw new InputError('zone', `"${zone}" is not a time zone`, 'give an IANA name such as Europe/London');
  const seconds = Number(match[1]) * 3600 + Number(match[2]) * 60 + Number(match[3] ?? 0);
  const asIfUtc = toEpochDay(date) * MILLISECONDS_PER_DAY + seconds * 1000;

  // no zone changes its clock twice within two days, so a day on either side shows the offsets around it
  const offsetMs = (instant: number) => IANAZone.create(zone).offset(instant) * 60_000;
  const offsetBefore = offsetMs(asIfUtc - MILLISECONDS_PER_DAY);
  const offsetAfter = offsetMs(asIfUtc + MILLISECONDS_PER_DAY);
  const matching = [asIfUtc - offsetBefore, asIfUtc - offsetAfter].filter(
    (instant) => instant + offsetMs(instant) === asIfUtc,
  );
  if (matching.length > 0) return disambiguation === 'later' ? Math.max(...matching) : Math.min(...matching);
  return asIfUtc - (disambiguation === 'earlier' ? offsetAfter : offsetBefore);
}
