import { assert } from '../shared/assert';
import { Interval, ServiceProgramme, ServiceRule } from './rule';

/** Severity factors have at most this many decimals, so that products of them are exact. */
export const SEVERITY_DECIMALS = 4;
const STEPS = 10 ** SEVERITY_DECIMALS;
const DAYS_OF_A_MONTH_FRACTION = 30;

/** The severity factor in force for a rule and a duty class. */
export interface Severity {
  dutyClass: string | null;
  factor: number;
  /** False where the rule has factors and the vehicle's duty class is not recorded. */
  known: boolean;
}

/**
 * The factor of a vehicle's present duty class: the rule's own table if it has one, else the programme's; 1
 * for a class that the table does not name. A duty class that is not recorded gives 1 and `known: false`
 * where the table has factors.
 */
export function severityOf(
  rule: ServiceRule,
  programme: ServiceProgramme,
  dutyClass: string | null,
): Severity {
  const table = rule.severityByDutyClass ?? programme.severityByDutyClass;
  if (dutyClass !== null) return { dutyClass, factor: ownValue(table, dutyClass) ?? 1, known: true };
  return { dutyClass, factor: 1, known: Object.values(table).every((factor) => factor === 1) };
}

/**
 * A whole number of kilometres, hours or days times a severity factor, rounded down; at least 1 where it was
 * at least 1.
 *
 * @param factor with at most 4 decimals
 */
export function scaledDown(value: number, factor: number): number {
  if (factor === 1 || value === 0) return value;
  return Math.max(1, Math.floor((value * steps(factor)) / STEPS));
}

/**
 * Whole months times a severity factor: whole months by the calendar, and the remaining fraction × 30 days
 * rounded down. 24 months × 0.7 = 16 months and 24 days.
 *
 * @param factor with at most 4 decimals
 */
export function scaledMonths(months: number, factor: number): { months: number; days: number } {
  if (factor === 1) return { months, days: 0 };
  const product = months * steps(factor);
  const whole = Math.floor(product / STEPS);
  return { months: whole, days: Math.floor(((product - whole * STEPS) * DAYS_OF_A_MONTH_FRACTION) / STEPS) };
}

/**
 * An interval times a severity factor. The fraction of the months goes to the days; months and days together
 * come to at least one day, kilometres and hours to at least 1.
 */
export function scaledInterval(interval: Interval, factor: number): Interval {
  if (factor === 1) return interval;
  const months = interval.months === null ? null : scaledMonths(interval.months, factor);
  const days = interval.days === null ? null : scaledDown(interval.days, factor);
  const totalDays = (months?.days ?? 0) + (days ?? 0);
  const vanished = months !== null && months.months === 0 && totalDays === 0 && interval.months !== 0;
  return {
    months: months === null ? null : months.months,
    days: months === null ? days : vanished ? 1 : totalDays,
    km: interval.km === null ? null : scaledDown(interval.km, factor),
    engineHours: interval.engineHours === null ? null : scaledDown(interval.engineHours, factor),
  };
}

function steps(factor: number): number {
  const whole = Math.round(factor * STEPS);
  assert(Math.abs(whole - factor * STEPS) < 1e-6, `severity factor ${factor} has more than 4 decimals`);
  return whole;
}

// a class may be called like a member of every object
function ownValue(table: Readonly<Record<string, number>>, name: string): number | undefined {
  return Object.hasOwn(table, name) ? table[name] : undefined;
}
