import { CalendarDate, EpochDay, toEpochDay } from '../shared/calendar-date';
import { wholeDayReached } from '../usage/usage-forecast';
import { PrechargeForecast } from './due-input';
import { MissingFact } from './due-item';
import { dateAfter, Limit, limitDates, limitOnDay, undeterminedLimit } from './limit';
import { PrechargeLimit, Tolerance, UnitAgeLimit } from './rule';
import { scaledMonths } from './severity';
import { Subject } from './subject';

/**
 * The age limit of a gas unit.
 *
 * Since manufacture: the date made plus the months; once the task was completed inside or after the limit's
 * window it has been met for good, and `null` is returned. Since last charge: counted from the later of the
 * recorded charge and the latest completion; a unit that was never charged is taken as charged when made,
 * which is never too late, and marked.
 *
 * @param completedOn the latest completion that counts for the rule
 */
export function ageLimit(
  limit: UnitAgeLimit,
  subject: Subject,
  completedOn: CalendarDate | null,
  factor: number,
  tolerance: Tolerance,
): Limit | null {
  const madeOn = subject.unit?.madeOn ?? null;
  let fromOn = madeOn;
  let chargedWhenMade = false;
  if (limit.since === 'last-charge') {
    const chargedOn = subject.unit?.lastChargedOn ?? null;
    fromOn =
      completedOn !== null && (chargedOn === null || completedOn > chargedOn) ? completedOn : chargedOn;
    chargedWhenMade = fromOn === null && madeOn !== null;
    fromOn ??= madeOn;
  }
  if (fromOn === null) return undeterminedLimit('age', [missingAge(limit, subject)]);
  const scaled = scaledMonths(limit.months, factor);
  const from = fromOn;
  const result = limitOnDay('age', dateAfter(from, scaled.months, scaled.days), tolerance, (dates) => ({
    kind: 'age',
    months: limit.months,
    scaledMonths: scaled.months,
    scaledDays: scaled.days,
    since: limit.since,
    fromOn: from,
    ...dates,
  }));
  if (limit.since === 'manufacture' && completedOn !== null && toEpochDay(completedOn) >= result.early)
    return null;
  if (chargedWhenMade) result.marks.push('charged-when-made');
  return result;
}

/**
 * The condition limit of a gas unit: the first day on which the probability of being below the precharge
 * limit reaches `dueAtProbability`. A completion after the last test that the forecast knows of makes the
 * forecast worthless; the limit is undetermined until the unit is tested again.
 *
 * @param completedOn the latest completion that counts for the rule
 */
export function conditionLimit(
  limit: PrechargeLimit,
  subject: Subject,
  completedOn: CalendarDate | null,
  tolerance: Tolerance,
): Limit {
  const { unit } = subject;
  if (unit === null) return undeterminedLimit('condition', [missingUnit(subject)]);
  const nominal = unit.nominalPrecharge20BarGauge;
  const pressure = limit.bar ?? (nominal === null ? null : (limit.shareOfNominal as number) * nominal);
  if (pressure === null) {
    const sentence = `Record the nominal precharge of unit ${unit.serialNumber}.`;
    return undeterminedLimit('condition', [{ code: 'unit-nominal-precharge', sentence }]);
  }
  const forecast = unit.prechargeForecasts.find((each) => Math.abs(each.limit20BarGauge - pressure) < 1e-6);
  if (!forecast || (completedOn !== null && toEpochDay(completedOn) > forecast.knownUntil)) {
    const since = forecast && completedOn !== null ? ` after ${completedOn}` : '';
    const sentence = `Record a precharge test of unit ${unit.serialNumber}${since}.`;
    return undeterminedLimit('condition', [{ code: 'precharge-test', sentence }]);
  }
  const due = dayBelow(forecast, limit.dueAtProbability);
  const early = due - tolerance.earlyDays;
  const late = due + tolerance.lateDays;
  const earliest = Math.min(due, dayBelow(forecast, 0.1));
  const latest = Math.max(due, dayBelow(forecast, 0.9));
  return {
    kind: 'condition',
    due,
    early,
    late,
    earliest,
    latest,
    dueTotal: null,
    missing: [],
    marks: [],
    reason: {
      kind: 'condition',
      limit20BarGauge: pressure,
      shareOfNominal: limit.bar === null ? limit.shareOfNominal : null,
      nominal20BarGauge: limit.bar === null ? nominal : null,
      dueAtProbability: limit.dueAtProbability,
      ...limitDates(early, due, late, earliest, latest),
    },
  };
}

/** First whole day on which the probability of being below the limit is reached; `Infinity` beyond the horizon. */
function dayBelow(forecast: PrechargeForecast, probability: number): EpochDay {
  let previous: { day: EpochDay; probability: number } | null = null;
  for (const point of forecast.belowLimit) {
    if (point.probability >= probability) {
      if (previous === null) return point.day;
      const share = (probability - previous.probability) / (point.probability - previous.probability);
      return wholeDayReached(previous.day + share * (point.day - previous.day));
    }
    previous = point;
  }
  return Infinity;
}

function missingAge(limit: UnitAgeLimit, subject: Subject): MissingFact {
  if (subject.unit === null) return missingUnit(subject);
  const { serialNumber } = subject.unit;
  return limit.since === 'manufacture'
    ? { code: 'unit-made-on', sentence: `Record the date of manufacture of unit ${serialNumber}.` }
    : { code: 'unit-last-charged-on', sentence: `Record when unit ${serialNumber} was last charged.` };
}

function missingUnit(subject: Subject): MissingFact {
  return {
    code: 'unit',
    sentence: `Record which gas unit is fitted at ${subject.position ?? 'the position'}.`,
  };
}
