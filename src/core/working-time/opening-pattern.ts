import { CalendarDate, EpochDay, parseCalendarDate, toEpochDay } from '../shared/calendar-date';
import { InputError } from '../shared/input-error';

/**
 * Hours of one day as a wall clock shows them, `HH:MM`. An end that is not after the start belongs to the
 * following day: 22:00 to 06:00 is a night shift. `24:00` is allowed as an end. Several windows on a day leave
 * breaks between them.
 */
export interface DayWindow {
  readonly from: string;
  readonly until: string;
}

/** Windows by ISO weekday, 1 is Monday and 7 is Sunday; a day without an entry has none. */
export type WeeklyWindows = Readonly<Record<number, readonly DayWindow[]>>;

/** Other hours than the weekly ones on one date; none at all where `windows` is empty. */
export interface DayException {
  readonly on: CalendarDate;
  readonly windows: readonly DayWindow[];
}

/**
 * When something is open. A date decides over the windows that start on it: the end of a night shift stays
 * where the following date is closed. Closed dates win over exceptions, exceptions over public holidays, and
 * holidays over the weekly hours.
 */
export interface OpeningPattern {
  /** IANA name. */
  readonly zone: string;
  readonly weekly: WeeklyWindows;
  readonly holidaysOn?: readonly CalendarDate[];
  readonly closedOn?: readonly CalendarDate[];
  readonly exceptions?: readonly DayException[];
}

/** A window in minutes since the midnight that starts its day; `untilDay` is 1 for an end on the next day. */
export interface MinuteWindow {
  readonly fromMinute: number;
  readonly untilMinute: number;
  readonly untilDay: 0 | 1;
}

/** A pattern that is checked and ready for arithmetic. */
export interface CompiledPattern {
  /** Monday first. */
  readonly weekly: readonly (readonly MinuteWindow[])[];
  readonly special: ReadonlyMap<EpochDay, readonly MinuteWindow[]>;
}

const TIME = /^([01]\d|2[0-3]):([0-5]\d)$/;
const WEEKDAYS = [1, 2, 3, 4, 5, 6, 7];

/**
 * Checks the hours and dates of a pattern and settles which of them win.
 *
 * @param field dotted path of the pattern, for messages
 * @throws InputError for a time, date or weekday that does not exist
 */
export function compilePattern(pattern: Omit<OpeningPattern, 'zone'>, field = 'opening'): CompiledPattern {
  for (const weekday of Object.keys(pattern.weekly))
    if (!/^[1-7]$/.test(weekday))
      throw new InputError(
        `${field}.weekly`,
        `"${weekday}" is not a weekday`,
        'give 1 (Monday) to 7 (Sunday)',
      );
  const special = new Map<EpochDay, readonly MinuteWindow[]>();
  const dayOf = (date: string, name: string) => toEpochDay(parseCalendarDate(date, `${field}.${name}`));
  for (const on of pattern.holidaysOn ?? []) special.set(dayOf(on, 'holidaysOn'), []);
  for (const { on, windows } of pattern.exceptions ?? [])
    special.set(
      dayOf(on, 'exceptions'),
      windows.map((window) => compileWindow(window, `${field}.exceptions`)),
    );
  for (const on of pattern.closedOn ?? []) special.set(dayOf(on, 'closedOn'), []);
  return {
    weekly: WEEKDAYS.map((weekday) =>
      (pattern.weekly[weekday] ?? []).map((window) => compileWindow(window, `${field}.weekly.${weekday}`)),
    ),
    special,
  };
}

/** The windows that start on a day. */
export function windowsOn(pattern: CompiledPattern, day: EpochDay): readonly MinuteWindow[] {
  // 1970-01-01 was a Thursday
  return pattern.special.get(day) ?? (pattern.weekly[(((day + 3) % 7) + 7) % 7] as readonly MinuteWindow[]);
}

function compileWindow({ from, until }: DayWindow, field: string): MinuteWindow {
  const fromMinute = minuteOf(from, field);
  const untilMinute = until === '24:00' ? 1440 : minuteOf(until, field);
  if (fromMinute === untilMinute)
    throw new InputError(field, `${from} to ${until} is empty`, 'give 00:00 to 24:00 for a whole day');
  return { fromMinute, untilMinute, untilDay: untilMinute > fromMinute ? 0 : 1 };
}

function minuteOf(time: string, field: string): number {
  const match = TIME.exec(time);
  if (!match) throw new InputError(field, `"${time}" is not a time of day`, 'give it as HH:MM');
  return Number(match[1]) * 60 + Number(match[2]);
}
