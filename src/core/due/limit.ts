import { addMonths, CalendarDate, EpochDay, toEpochDay } from '../shared/calendar-date';
import { dayText } from './day-text';
import { Mark, MissingFact } from './due-item';
import { LimitDates, LimitReason } from './reasoning';
import { LimitKind, Tolerance } from './rule';

/** One limit of a rule for one subject. `Infinity` in a date is beyond the horizon of the forecasts. */
export interface Limit {
  kind: LimitKind;
  /** Null where the limit cannot be told; the other dates are null then too, and `missing` says why. */
  due: EpochDay | null;
  early: EpochDay;
  late: EpochDay;
  earliest: EpochDay;
  latest: EpochDay;
  /** Total distance or hours at which it is due. */
  dueTotal: number | null;
  missing: MissingFact[];
  marks: Mark[];
  reason: LimitReason;
}

/** A limit that cannot be told, with what is missing. */
export function undeterminedLimit(
  kind: LimitKind,
  missing: MissingFact[],
  dueTotal: number | null = null,
): Limit {
  return {
    kind,
    due: null,
    early: NaN,
    late: NaN,
    earliest: NaN,
    latest: NaN,
    dueTotal,
    missing,
    marks: [],
    reason: { kind, undetermined: missing.map((each) => each.code), dueTotal },
  };
}

/**
 * The date of a time limit: months from the origin in one step, clamped to the end of a shorter month, then
 * days. Counting from the origin keeps the 31st: 31 January + 2 months is 31 March.
 */
export function dateAfter(fromOn: CalendarDate, months: number, days: number): EpochDay {
  return toEpochDay(months === 0 ? fromOn : addMonths(fromOn, months)) + days;
}

/**
 * A limit at a certain day. The tolerance in days shifts it to the start and the end of its window;
 * tolerances in km have no hold on it.
 */
export function limitOnDay(
  kind: LimitKind,
  due: EpochDay,
  tolerance: Tolerance,
  reasonOf: (dates: LimitDates) => LimitReason,
): Limit {
  const early = due - tolerance.earlyDays;
  const late = due + tolerance.lateDays;
  const reason = reasonOf(limitDates(early, due, late, due, due));
  return {
    kind,
    due,
    early,
    late,
    earliest: due,
    latest: due,
    dueTotal: null,
    missing: [],
    marks: [],
    reason,
  };
}

/** Dates as text; null where they lie beyond the horizon. */
export function limitDates(
  early: EpochDay,
  due: EpochDay,
  late: EpochDay,
  earliest: EpochDay,
  latest: EpochDay,
): LimitDates {
  const dueOn = dateOrNull(due);
  return {
    earlyOn: early === due ? dueOn : dateOrNull(early),
    dueOn,
    lateOn: late === due ? dueOn : dateOrNull(late),
    earliestOn: earliest === due ? dueOn : dateOrNull(earliest),
    latestOn: latest === due ? dueOn : dateOrNull(latest),
  };
}

/** A day as a date, null for a day beyond the horizon. */
export function dateOrNull(day: EpochDay): CalendarDate | null {
  return Number.isFinite(day) ? dayText(day) : null;
}
