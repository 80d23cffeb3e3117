import type { Schemas } from '../../../api/client';
import { addDays } from '../../../../core/shared/calendar-date';
import { TypedFault } from '../parts/faults';
import { textOrNull } from '../parts/typed';

type DayWindow = Schemas['DayWindowDto'];
type WeekdayHours = Schemas['WeekdayHoursDto'];
type DayException = Schemas['DayExceptionDto'];
type ShiftException = Schemas['ShiftExceptionDto'];

export const WEEKDAYS = [
  'Monday',
  'Tuesday',
  'Wednesday',
  'Thursday',
  'Friday',
  'Saturday',
  'Sunday',
] as const;

/** The hours of Monday to Sunday as they are typed, such as `08:00–12:00, 13:00–17:00`; empty where it is shut. */
export type TypedWeek = string[];

export interface TypedDays {
  fromOn: string;
  /** the last day, which the contract counts one further */
  lastOn: string;
  hours: string;
  note: string;
}

export interface TypedShiftDay {
  on: string;
  hours: string;
  note: string;
}

export const shownHours = (windows: readonly DayWindow[]): string =>
  windows.map(({ from, until }) => `${from}–${until}`).join(', ');

/** Reads `8-12, 13:00–17:30`; null where it says no hours. */
export function typedHours(text: string): DayWindow[] | null {
  if (text.trim() === '') return [];
  const windows: DayWindow[] = [];
  for (const part of text.split(',')) {
    const [from, until, ...more] = part.split(/[-–—]|\bto\b/).map(typedTime);
    if (from === undefined || from === null || until === undefined || until === null || more.length > 0)
      return null;
    windows.push({ from, until });
  }
  return windows;
}

function typedTime(text: string): string | null {
  const match = /^(\d{1,2})(?:[:.](\d{2}))?$/.exec(text.trim());
  if (match === null) return null;
  const [, hours = '', minutes = '00'] = match;
  return Number(hours) > 24 || Number(minutes) > 59 ? null : `${hours.padStart(2, '0')}:${minutes}`;
}

export function shownWeek(hours: readonly WeekdayHours[]): TypedWeek {
  return WEEKDAYS.map((_name, index) =>
    shownHours(hours.find(({ weekday }) => weekday === index + 1)?.windows ?? []),
  );
}

/** @param place where a fault is shown @throws TypedFault naming the day whose hours cannot be read */
export function typedWeek(week: TypedWeek, place: string): WeekdayHours[] {
  return week.flatMap((text, index) => {
    const windows = windowsAt(text, place, WEEKDAYS[index] ?? '');
    return windows.length === 0 ? [] : [{ weekday: index + 1, windows }];
  });
}

export function shownExceptions(exceptions: readonly DayException[]): TypedDays[] {
  return exceptions.map(({ fromOn, untilOn, windows, note }) => ({
    fromOn,
    lastOn: addDays(untilOn, -1),
    hours: shownHours(windows),
    note: note ?? '',
  }));
}

export function typedExceptions(days: readonly TypedDays[], place: string): DayException[] {
  return days.map(({ fromOn, lastOn, hours, note }, index) => {
    const last = lastOn === '' ? fromOn : lastOn;
    return {
      fromOn,
      untilOn: last === '' ? '' : addDays(last, 1),
      windows: windowsAt(hours, `${place}/${index}`, fromOn),
      note: textOrNull(note),
    };
  });
}

export const shownShiftDays = (exceptions: readonly ShiftException[]): TypedShiftDay[] =>
  exceptions.map(({ on, windows, note }) => ({ on, hours: shownHours(windows), note: note ?? '' }));

export function typedShiftDays(days: readonly TypedShiftDay[], place: string): ShiftException[] {
  return days.map(({ on, hours, note }, index) => ({
    on,
    windows: windowsAt(hours, `${place}/${index}`, on),
    note: textOrNull(note),
  }));
}

function windowsAt(text: string, place: string, day: string): DayWindow[] {
  const windows = typedHours(text);
  if (windows === null)
    throw new TypedFault(place, `${day}: “${text}” says no hours. Write them like 08:00–12:00, 13:00–17:00.`);
  return windows;
}
