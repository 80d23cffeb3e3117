import { EpochDay, toEpochDay } from '../shared/calendar-date';
import { dayText } from './day-text';
import { AgeDays, ageDaysOf, ageOutside, missingInService } from './applies-to';
import { completionsOf, latestCompletion, ResolvedTotal, totalAtCompletion } from './baseline';
import { Mark, MissingFact } from './due-item';
import { intervalLimits, limitsWithoutOrigin, Origin } from './interval-limits';
import { Limit } from './limit';
import { openOccurrence } from './occurrences';
import { DueContext, Owed } from './owed';
import { BaselineReason, MeterAtBaseline } from './reasoning';
import { Interval, ServiceRule } from './rule';
import { scaledInterval, Severity, severityOf } from './severity';
import { CountedCompletion, Subject } from './subject';
import { owedAgain, standingFailure } from './failed-test';
import { ageLimit, conditionLimit } from './unit-limits';
import { Window, windowOf } from './window';

/**
 * What a recurring rule asks of a subject. Counted from the latest completion of its task, or of a task that
 * satisfies it; before any completion from the in-service date (a unit's first fitting), with the first
 * interval if the rule has one; without either, undetermined.
 *
 * @returns null where nothing is owed any more: an age limit that was met for good, and no other limit
 */
export function owedByRecurringRule(rule: ServiceRule, subject: Subject, context: DueContext): Owed | null {
  const { input } = context;
  const completions = completionsOf(subject, rule.task, context.satisfying);
  const severity = severityOf(rule, input.programme, input.dutyClass);
  const age = ageDaysOf(rule.appliesTo, input.inServiceOn);
  const owed =
    rule.cadence === 'fixed'
      ? owedInSeries(rule, subject, completions, severity, age)
      : owedFromCompletion(rule, subject, completions, severity, age);
  const current = owed?.window && ageOutside(age, owed.window.due) === 'too-old' ? null : owed;
  const failure = standingFailure(rule, subject, completions);
  return current === null || failure === null ? current : owedAgain(current, failure, rule);
}

function owedFromCompletion(
  rule: ServiceRule,
  subject: Subject,
  completions: readonly CountedCompletion[],
  severity: Severity,
  age: AgeDays,
): Owed | null {
  const completion = latestCompletion(completions);
  const stated = completion || rule.first === null ? rule.every : withFirst(rule.every, rule.first);
  const found = completion
    ? fromCompletion(completion, subject, stated)
    : fromStart(subject, stated, rule.first !== null);
  const completedOn = completion?.on ?? null;
  const limits: Limit[] = [];
  if (rule.prechargeLimit)
    limits.push(conditionLimit(rule.prechargeLimit, subject, completedOn, rule.tolerance));
  if (rule.unitAge) {
    const limit = ageLimit(rule.unitAge, subject, completedOn, severity.factor, rule.tolerance);
    if (limit) limits.push(limit);
  }
  limits.push(
    ...(found.origin
      ? intervalLimits(rule, subject, found.origin, stated, scaledInterval(stated, severity.factor))
      : limitsWithoutOrigin(stated, missingStart(subject))),
  );
  if (limits.length === 0) return null;
  const window = windowOf(limits, rule.whichever);
  const raised = window !== null && window.early < age.from;
  return {
    limits,
    window: raised ? notBefore(window, age.from, rule.tolerance.lateDays) : window,
    baseline: found.baseline,
    severity,
    occurrence: null,
    appliesFromOn: raised ? dayText(age.from) : null,
    marks: completion?.mark ? [completion.mark] : [],
  };
}

function owedInSeries(
  rule: ServiceRule,
  subject: Subject,
  completions: readonly CountedCompletion[],
  severity: Severity,
  age: AgeDays,
): Owed {
  const earliest = completions.reduce<CountedCompletion | null>(
    (found, each) => (found === null || latestCompletion([found, each]) === found ? each : found),
    null,
  );
  const anchorCompletion = subject.start.on === null ? earliest : null;
  const stated = anchorCompletion || rule.first === null ? rule.every : withFirst(rule.every, rule.first);
  const found = anchorCompletion
    ? fromCompletion(anchorCompletion, subject, rule.every)
    : fromStart(subject, rule.every, rule.first !== null);
  const marks: Mark[] = completions.flatMap((each) => each.mark ?? []);
  const { origin, baseline } = found;
  if (origin === null) {
    const limits = limitsWithoutOrigin(rule.every, missingStart(subject));
    return { limits, window: null, baseline, severity, occurrence: null, appliesFromOn: null, marks };
  }
  const { occurrence, reason } = openOccurrence(
    {
      anchorDay: toEpochDay(origin.on),
      first: scaledInterval(stated, severity.factor),
      each: scaledInterval(rule.every, severity.factor),
      anchorCompletionId: anchorCompletion?.id ?? null,
      owedFrom: age.from,
      occurrenceAt: (interval) => {
        const limits = intervalLimits(rule, subject, origin, rule.every, interval);
        return { limits, window: windowOf(limits, rule.whichever) };
      },
    },
    completions,
  );
  const appliesFromOn = age.from === -Infinity ? null : dayText(age.from);
  return {
    ...occurrence,
    baseline,
    severity,
    occurrence: { ...reason, statedFirst: stated, statedEach: rule.every },
    appliesFromOn,
    marks,
  };
}

/** The first interval takes the place of the limits that it names; months and days are one limit. */
function withFirst(every: Interval, first: Interval): Interval {
  const time = first.months === null && first.days === null ? every : first;
  return {
    months: time.months,
    days: time.days,
    km: first.km ?? every.km,
    engineHours: first.engineHours ?? every.engineHours,
  };
}

/** A completion as origin and as the reasoning shows it; meters are looked up only where a limit needs them. */
export function fromCompletion(
  completion: CountedCompletion,
  subject: Subject,
  interval: Interval,
  kind: 'completion' | 'trigger' = 'completion',
): { origin: Origin; baseline: BaselineReason } {
  const km =
    interval.km === null ? null : totalAtCompletion(subject.km, 'distance', completion, completion.totalKm);
  const hours =
    interval.engineHours === null
      ? null
      : totalAtCompletion(subject.hours, 'hours', completion, completion.totalHours);
  const { id, task, on } = completion;
  return {
    origin: { on, km, hours },
    baseline: { kind, completionId: id, task, on, distance: km?.at ?? null, hours: hours?.at ?? null },
  };
}

function fromStart(
  subject: Subject,
  interval: Interval,
  firstInterval: boolean,
): { origin: Origin | null; baseline: BaselineReason } {
  const { on, km, hours } = subject.start;
  if (on === null) return { origin: null, baseline: { kind: 'none' } };
  const distance = interval.km === null ? null : km;
  const engineHours = interval.engineHours === null ? null : hours;
  return {
    origin: {
      on,
      km: distance && resolvedStart(subject, distance, 'odometer'),
      hours: engineHours && resolvedStart(subject, engineHours, 'hours'),
    },
    baseline: {
      kind: subject.unit ? 'first-fitting' : 'in-service',
      on,
      firstInterval,
      distance,
      hours: engineHours,
    },
  };
}

function resolvedStart(subject: Subject, at: MeterAtBaseline, name: 'odometer' | 'hours'): ResolvedTotal {
  return {
    at,
    mark: at.source === 'assumed-0' ? `${name}-assumed-0` : null,
    missing: at.total === null && subject.unit ? missingAtFitting(subject.unit.serialNumber, name) : null,
  };
}

function missingAtFitting(serialNumber: string, name: 'odometer' | 'hours'): MissingFact {
  return name === 'odometer'
    ? {
        code: 'unit-distance',
        sentence: `Record the odometer when unit ${serialNumber} was fitted, and what it had travelled before.`,
      }
    : {
        code: 'unit-hours',
        sentence: `Record a completed job with the engine hours for unit ${serialNumber}.`,
      };
}

function missingStart(subject: Subject): MissingFact {
  if (subject.unit === null) return missingInService();
  const sentence = `Record when unit ${subject.unit.serialNumber} was first fitted.`;
  return { code: 'unit-first-fitted-on', sentence };
}

// a vehicle comes of age on a day: what fell due before is due then
function notBefore(window: Window, day: EpochDay, lateDays: number): Window {
  return {
    ...window,
    early: Math.max(window.early, day),
    due: Math.max(window.due, day),
    late: window.due < day ? Math.max(window.late, day + lateDays) : window.late,
    earliest: Math.max(window.earliest, day),
    latest: Math.max(window.latest, day),
  };
}
