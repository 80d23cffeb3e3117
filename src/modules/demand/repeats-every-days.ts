import type { DueItem } from '../../core/due/due-item';
import type { LimitReason, MeterProjection, Reasoning } from '../../core/due/reasoning';
import { daysBetween } from '../../core/shared/calendar-date';

const DAYS_PER_MONTH = 365.25 / 12;

/**
 * Days from one time that an item falls due to the next, by its intervals after severity and the present use; null
 * where it does not come back, or where that cannot be told: a limit of precharge alone, or a first interval after
 * which another one follows.
 */
export function repeatsEveryDays(
  { kind }: Pick<DueItem, 'kind'>,
  { baseline, limits, occurrence, whichever }: Reasoning,
): number | null {
  if (kind !== 'recurring') return null;
  if (occurrence === null && 'firstInterval' in baseline && baseline.firstInterval) return null;
  const intervals = limits.filter(({ kind: limit }) => limit !== 'failed-test');
  const days = intervals.map((limit) => daysOf(limit, occurrence));
  const known = days.filter((each) => each !== null);
  if (known.length === 0 || (whichever === 'last' && known.length < days.length)) return null;
  return Math.max(1, whichever === 'last' ? Math.max(...known) : Math.min(...known));
}

function daysOf(limit: LimitReason, occurrence: Reasoning['occurrence']): number | null {
  if ('undetermined' in limit) return null;
  switch (limit.kind) {
    case 'time':
      return inDays(occurrence?.each.months ?? limit.scaledMonths, occurrence?.each.days ?? limit.scaledDays);
    case 'age':
      return limit.since === 'last-charge' ? inDays(limit.scaledMonths, limit.scaledDays) : null;
    case 'distance':
      return over(occurrence === null ? limit.scaled : occurrence.each.km, limit.projection);
    case 'hours':
      return over(occurrence === null ? limit.scaled : occurrence.each.engineHours, limit.projection);
    case 'condition':
    case 'failed-test':
      return null;
  }
}

function inDays(months: number, days: number): number | null {
  const total = months * DAYS_PER_MONTH + days;
  return total > 0 ? total : null;
}

function over(interval: number | null, projection: MeterProjection): number | null {
  const perDay = projection.how === 'forecast' ? projection.perDay : pastRate(projection);
  return interval === null || perDay === null || !(perDay > 0) ? null : interval / perDay;
}

// what was used between the two readings around the crossing
function pastRate({ before, after }: Extract<MeterProjection, { how: 'reached' }>): number | null {
  const days = before === null ? 0 : daysBetween(before.on, after.on);
  return before === null || days <= 0 ? null : (after.total - before.total) / days;
}
