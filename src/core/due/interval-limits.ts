import { CalendarDate, toEpochDay } from '../shared/calendar-date';
import { ResolvedTotal } from './baseline';
import { MissingFact } from './due-item';
import { dateAfter, Limit, limitOnDay, undeterminedLimit } from './limit';
import { meterLimit } from './meter-limit';
import { Interval, ServiceRule } from './rule';
import { Subject } from './subject';

/** What intervals are counted from: a date, and the totals of the meters that the rule looks at. */
export interface Origin {
  on: CalendarDate;
  /** Null where the rule has no such limit. */
  km: ResolvedTotal | null;
  hours: ResolvedTotal | null;
}

/**
 * The time, distance and hours limits of a rule, counted from an origin.
 *
 * @param stated the interval as the rule gives it, shown in the reasoning
 * @param scaled the interval to count, after severity and, in a series, multiplied
 */
export function intervalLimits(
  rule: ServiceRule,
  subject: Subject,
  origin: Origin,
  stated: Interval,
  scaled: Interval,
): Limit[] {
  const limits: Limit[] = [];
  if (scaled.months !== null || scaled.days !== null) {
    const [months, days] = [scaled.months ?? 0, scaled.days ?? 0];
    limits.push(
      limitOnDay('time', dateAfter(origin.on, months, days), rule.tolerance, (dates) => ({
        kind: 'time',
        months: stated.months,
        days: stated.days,
        scaledMonths: months,
        scaledDays: days,
        byOn: null,
        ...dates,
      })),
    );
  }
  if (scaled.km !== null) {
    limits.push(onMeter('distance', rule, subject, origin.on, origin.km, stated.km, scaled.km));
  }
  if (scaled.engineHours !== null) {
    limits.push(
      onMeter('hours', rule, subject, origin.on, origin.hours, stated.engineHours, scaled.engineHours),
    );
  }
  return limits;
}

/** The limits that a rule has and that have nothing to be counted from. */
export function limitsWithoutOrigin(interval: Interval, missing: MissingFact): Limit[] {
  const limits: Limit[] = [];
  if (interval.months !== null || interval.days !== null) limits.push(undeterminedLimit('time', [missing]));
  if (interval.km !== null) limits.push(undeterminedLimit('distance', [missing]));
  if (interval.engineHours !== null) limits.push(undeterminedLimit('hours', [missing]));
  return limits;
}

function onMeter(
  kind: 'distance' | 'hours',
  rule: ServiceRule,
  subject: Subject,
  fromOn: CalendarDate,
  resolved: ResolvedTotal | null,
  stated: number | null,
  scaled: number,
): Limit {
  const total = resolved?.at.total ?? null;
  if (total === null) return undeterminedLimit(kind, resolved?.missing ? [resolved.missing] : []);
  const limit = meterLimit(
    {
      kind,
      every: stated,
      scaled,
      from: total,
      dueTotal: total + scaled,
      floor: { day: toEpochDay(fromOn), total },
    },
    kind === 'distance' ? subject.km : subject.hours,
    rule.tolerance,
  );
  if (resolved?.mark) limit.marks.push(resolved.mark);
  return limit;
}
