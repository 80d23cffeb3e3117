import { DateTime } from 'luxon';
import { addDays, isoWeekday } from '../../../core/shared/calendar-date';
import { clipped, periodOf, type Period } from './day-axis';

/** A time at which nobody can be booked here, and why. */
export interface ShutTime extends Period {
  because: string;
}

interface Window {
  from: string;
  until: string;
}

/** Hours of a person as the workshop's clock tells them. */
export interface Shifts {
  shifts: readonly { weekday: number; windows: readonly Window[] }[];
  shiftExceptions: readonly { on: string; windows: readonly Window[]; note?: string | null }[];
}

interface Away {
  startsAt: string;
  endsAt: string;
  reason?: string | null;
}

/** What is left of a period outside of windows. */
export function outside(whole: Period, windows: readonly Period[], because: string): ShutTime[] {
  const within = windows
    .map((each) => clipped(each, whole))
    .filter((each) => each !== null)
    .sort((a, b) => a.startsAt - b.startsAt);
  const shut: ShutTime[] = [];
  let at = whole.startsAt;
  for (const { startsAt, endsAt } of within) {
    if (startsAt > at) shut.push({ startsAt: at, endsAt: startsAt, because });
    at = Math.max(at, endsAt);
  }
  if (at < whole.endsAt) shut.push({ startsAt: at, endsAt: whole.endsAt, because });
  return shut;
}

/** When somebody works on a day; a night shift belongs to the day on which it begins. */
export function shiftsOn({ shifts, shiftExceptions }: Shifts, on: string, zone: string): Period[] {
  return [addDays(on, -1), on].flatMap((day) => {
    const exception = shiftExceptions.find((each) => each.on === day);
    const weekday = isoWeekday(day);
    const windows = (exception ?? shifts.find((each) => each.weekday === weekday))?.windows ?? [];
    return windows.map(({ from, until }) => {
      const startsAt = clockAt(day, from, zone);
      const endsAt = clockAt(day, until, zone);
      return { startsAt, endsAt: endsAt > startsAt ? endsAt : clockAt(addDays(day, 1), until, zone) };
    });
  });
}

/** Closures of a bay, or absences of a person, within a period. */
export function awayTimes(away: readonly Away[], whole: Period, otherwise: string): ShutTime[] {
  return away.flatMap(({ reason, ...times }) => {
    const seen = clipped(periodOf(times), whole);
    return seen === null ? [] : [{ ...seen, because: reason ?? otherwise }];
  });
}

function clockAt(on: string, time: string, zone: string): number {
  const [hour, minute] = time.split(':').map(Number);
  if (hour === 24) return DateTime.fromISO(addDays(on, 1), { zone }).toMillis();
  return DateTime.fromISO(on, { zone }).set({ hour, minute }).toMillis();
}
