import { ageDaysOf, ageOutside } from './applies-to';
import { completionsOf } from './baseline';
import { intervalLimits } from './interval-limits';
import { DueContext, Owed } from './owed';
import { fromCompletion } from './recurring';
import { ServiceRule } from './rule';
import { scaledInterval, severityOf } from './severity';
import { CountedCompletion, Subject } from './subject';
import { windowOf } from './window';

/**
 * What a follow-up asks of a subject: so many kilometres, hours or days after the latest completion of the
 * task that it follows, or of one that satisfies that. Doing that task again starts the count again.
 *
 * @returns null where there is nothing to follow, or the follow-up was done since; on the same day the order
 * of recording (ids) decides
 */
export function owedByFollowUp(
  rule: ServiceRule,
  after: string,
  subject: Subject,
  context: DueContext,
): Owed | null {
  const trigger = lastRecorded(completionsOf(subject, after, context.satisfying));
  if (trigger === null) return null;
  const done = lastRecorded(completionsOf(subject, rule.task, context.satisfying));
  if (done !== null && compareRecording(done, trigger) >= 0) return null;
  const severity = severityOf(rule, context.input.programme, context.input.dutyClass);
  const { origin, baseline } = fromCompletion(trigger, subject, rule.every, 'trigger');
  const scaled = scaledInterval(rule.every, severity.factor);
  const limits = intervalLimits(rule, subject, origin, rule.every, scaled);
  const window = windowOf(limits, rule.whichever);
  const age = ageDaysOf(rule.appliesTo, context.input.inServiceOn);
  if (window && ageOutside(age, window.due) !== null) return null;
  return {
    limits,
    window,
    baseline,
    severity,
    occurrence: null,
    appliesFromOn: null,
    marks: trigger.mark ? [trigger.mark] : [],
  };
}

function lastRecorded(completions: readonly CountedCompletion[]): CountedCompletion | null {
  let last: CountedCompletion | null = null;
  for (const each of completions) if (last === null || compareRecording(each, last) > 0) last = each;
  return last;
}

function compareRecording(a: CountedCompletion, b: CountedCompletion): number {
  if (a.on !== b.on) return a.on < b.on ? -1 : 1;
  return a.id < b.id ? -1 : a.id > b.id ? 1 : 0;
}
