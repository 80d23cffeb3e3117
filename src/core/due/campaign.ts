import { toEpochDay } from '../shared/calendar-date';
import { ageDaysOf, ageOutside } from './applies-to';
import { completionsOf } from './baseline';
import { Limit, limitOnDay } from './limit';
import { meterLimit } from './meter-limit';
import { DueContext, Owed } from './owed';
import { CampaignTerms, ServiceRule } from './rule';
import { Subject } from './subject';
import { windowOf } from './window';

/**
 * What a one-off campaign asks of a subject: by a date, by an odometer value of the vehicle, or by whichever
 * comes first or last. Severity has no hold on it: both are absolute.
 *
 * @returns null once the task, or one that satisfies it, was done (on or after the day of issue, if the
 * campaign has one)
 */
export function owedByCampaign(
  rule: ServiceRule,
  terms: CampaignTerms,
  subject: Subject,
  context: DueContext,
): Owed | null {
  const { issuedOn } = terms;
  const done = completionsOf(subject, rule.task, context.satisfying);
  if (done.some((each) => issuedOn === null || each.on >= issuedOn)) return null;
  const limits: Limit[] = [];
  if (terms.byOn !== null) limits.push(byDate(rule, terms.byOn));
  if (terms.byOdometerKm !== null) limits.push(byOdometer(rule, terms.byOdometerKm, context));
  const window = windowOf(limits, rule.whichever);
  const age = ageDaysOf(rule.appliesTo, context.input.inServiceOn);
  if (window && ageOutside(age, window.due) !== null) return null;
  return {
    limits,
    window,
    baseline: { kind: 'none' },
    severity: null,
    occurrence: null,
    appliesFromOn: null,
    marks: [],
  };
}

function byDate(rule: ServiceRule, byOn: string): Limit {
  return limitOnDay('time', toEpochDay(byOn), rule.tolerance, (dates) => ({
    kind: 'time',
    months: null,
    days: null,
    scaledMonths: 0,
    scaledDays: 0,
    byOn,
    ...dates,
  }));
}

function byOdometer(rule: ServiceRule, dueTotal: number, context: DueContext): Limit {
  const { inServiceOn, inServiceTotalKm } = context.input;
  const floor = inServiceOn === null ? null : { day: toEpochDay(inServiceOn), total: inServiceTotalKm ?? 0 };
  return meterLimit(
    { kind: 'distance', every: null, scaled: null, from: null, dueTotal, floor },
    context.odometer,
    rule.tolerance,
  );
}
