import { parseInstant } from '../../core/shared/instant';
import type { DayWindow, WeeklyWindows } from '../../core/working-time/opening-pattern';
import type { FieldError } from '../../platform/errors/coded-error';
import type { StoredAbsence } from './bay.entity';
import type { AbsenceDto, DayExceptionDto, ShiftExceptionDto, WeekdayHoursDto } from './dto/day-hours.dto';
import type { StoredShiftException } from './technician.entity';
import type { StoredDayException } from './workshop.entity';

/** Weekly hours as the API shows them: weekdays in order, those that are shut left out. */
export function weekdayHoursOf(weekly: WeeklyWindows): WeekdayHoursDto[] {
  return Object.entries(weekly).map(([weekday, windows]) => ({
    weekday: Number(weekday),
    windows: windows.map(({ from, until }) => ({ from, until })),
  }));
}

export function weeklyWindowsOf(hours: readonly WeekdayHoursDto[]): WeeklyWindows {
  return Object.fromEntries(hours.map(({ weekday, windows }) => [weekday, windows.map(windowOf)]));
}

export function dayExceptionsOf(exceptions: readonly DayExceptionDto[]): StoredDayException[] {
  return exceptions
    .map(({ fromOn, untilOn, windows, note }) => ({
      fromOn,
      untilOn,
      windows: windows.map(windowOf),
      note: note ?? null,
    }))
    .sort((a, b) => (a.fromOn < b.fromOn ? -1 : 1));
}

export function shiftExceptionsOf(exceptions: readonly ShiftExceptionDto[]): StoredShiftException[] {
  return exceptions
    .map(({ on, windows, note }) => ({ on, windows: windows.map(windowOf), note: note ?? null }))
    .sort((a, b) => (a.on < b.on ? -1 : 1));
}

export function absencesOf(absences: readonly AbsenceDto[]): StoredAbsence[] {
  return absences
    .map(({ startsAt, endsAt, reason }) => ({
      startsAt: new Date(parseInstant(startsAt)).toISOString(),
      endsAt: new Date(parseInstant(endsAt)).toISOString(),
      reason: reason ?? null,
    }))
    .sort((a, b) => (a.startsAt < b.startsAt ? -1 : 1));
}

/** What is wrong with weekly hours: a weekday twice, windows that are empty or overlap. */
export function weeklyFaults(hours: readonly WeekdayHoursDto[], pointer: string): FieldError[] {
  return hours.flatMap(({ weekday, windows }, index) => [
    ...(hours.findIndex((other) => other.weekday === weekday) < index
      ? [
          {
            pointer: `${pointer}/${index}/weekday`,
            detail: `Weekday ${weekday} has hours already.`,
            remedy: 'give each weekday once, with all of its windows',
          },
        ]
      : []),
    ...windowFaults(windows, `${pointer}/${index}/windows`),
  ]);
}

export function dayExceptionFaults(exceptions: readonly DayExceptionDto[], pointer: string): FieldError[] {
  const faults = exceptions.flatMap(({ fromOn, untilOn, windows }, index) => [
    ...(untilOn > fromOn
      ? []
      : [
          {
            pointer: `${pointer}/${index}/untilOn`,
            detail: `${untilOn} is not after ${fromOn}.`,
            remedy: 'give the first day on which the usual hours hold again',
          },
        ]),
    ...windowFaults(windows, `${pointer}/${index}/windows`),
  ]);
  const overlaps = exceptions.flatMap(({ fromOn }, index) => {
    const earlier = exceptions
      .slice(0, index)
      .find((other) => other.fromOn <= fromOn && fromOn < other.untilOn);
    return earlier === undefined
      ? []
      : [
          {
            pointer: `${pointer}/${index}/fromOn`,
            detail: `${fromOn} has other hours already, from ${earlier.fromOn}.`,
            remedy: 'say what holds on a day once',
          },
        ];
  });
  return [...faults, ...overlaps];
}

export function shiftExceptionFaults(
  exceptions: readonly ShiftExceptionDto[],
  pointer: string,
): FieldError[] {
  return exceptions.flatMap(({ on, windows }, index) => [
    ...(exceptions.findIndex((other) => other.on === on) < index
      ? [
          {
            pointer: `${pointer}/${index}/on`,
            detail: `${on} has other hours already.`,
            remedy: 'say what holds on a day once',
          },
        ]
      : []),
    ...windowFaults(windows, `${pointer}/${index}/windows`),
  ]);
}

export function absenceFaults(absences: readonly AbsenceDto[], pointer: string): FieldError[] {
  return absences.flatMap(({ startsAt, endsAt }, index) =>
    parseInstant(endsAt) > parseInstant(startsAt)
      ? []
      : [
          {
            pointer: `${pointer}/${index}/endsAt`,
            detail: `${endsAt} is not after ${startsAt}.`,
            remedy: 'give a later end',
          },
        ],
  );
}

function windowFaults(windows: readonly DayWindow[], pointer: string): FieldError[] {
  const spans = windows.map(({ from, until }) => {
    const [start, end] = [minuteOf(from), minuteOf(until)];
    return { start, end: end > start ? end : end + 1440 };
  });
  return windows.flatMap(({ from, until }, index) => {
    const span = spans[index] as { start: number; end: number };
    if (from === until)
      return [
        {
          pointer: `${pointer}/${index}/until`,
          detail: `${from} to ${until} is empty.`,
          remedy: 'give a later end, or 00:00 to 24:00 for a whole day',
        },
      ];
    const other = spans.slice(0, index).findIndex((each) => span.start < each.end && each.start < span.end);
    const earlier = windows[other];
    return earlier === undefined
      ? []
      : [
          {
            pointer: `${pointer}/${index}/from`,
            detail: `${from} to ${until} overlaps ${earlier.from} to ${earlier.until}.`,
            remedy: 'give windows that leave the breaks between them',
          },
        ];
  });
}

function windowOf({ from, until }: DayWindow): DayWindow {
  return { from, until };
}

function minuteOf(time: string): number {
  const [hour, minute] = time.split(':');
  return Number(hour) * 60 + Number(minute);
}
