import { toEpochDay } from '../shared/calendar-date';
import { compareCompletions, latestCompletion } from './baseline';
import { limitOnDay } from './limit';
import { Owed } from './owed';
import { ServiceRule } from './rule';
import { CountedCompletion, Subject } from './subject';

/**
 * The latest test of a rule's task that failed and was not made good since: neither passed again at its position
 * nor followed by work that satisfies it. Null where there is none.
 *
 * @param completions those that count for the rule's task
 */
export function standingFailure(
  rule: ServiceRule,
  subject: Subject,
  completions: readonly CountedCompletion[],
): CountedCompletion | null {
  const standing = subject.failures.filter(
    (failure) => failure.task === rule.task && !completions.some((each) => mends(each, failure)),
  );
  return latestCompletion(standing);
}

// work on the whole vehicle counts at every position; work at one position for that one only
function mends(done: CountedCompletion, failure: CountedCompletion): boolean {
  return (
    (done.position === null || done.position === failure.position) && compareCompletions(done, failure) > 0
  );
}

/**
 * What is owed once a test has failed: the same task at once, whatever its other limits say. The window begins on
 * the day of the failure, or where the item was due before that already, and has the rule's own days of grace.
 */
export function owedAgain(owed: Owed, failure: CountedCompletion, rule: ServiceRule): Owed {
  const tolerance = { ...rule.tolerance, earlyDays: 0 };
  const limit = limitOnDay('failed-test', toEpochDay(failure.on), tolerance, (dates) => ({
    kind: 'failed-test',
    completionId: failure.id,
    task: failure.task,
    failedOn: failure.on,
    ...dates,
  }));
  const { window } = owed;
  const earlier = (day: number, before: number | undefined): number => Math.min(day, before ?? Infinity);
  return {
    ...owed,
    limits: [limit, ...owed.limits],
    window: {
      driver: 'failed-test',
      early: earlier(limit.early, window?.early),
      due: earlier(limit.earliest, window?.due),
      late: earlier(limit.late, window?.late),
      earliest: earlier(limit.earliest, window?.earliest),
      latest: earlier(limit.latest, window?.latest),
      partial: window?.partial ?? owed.limits.some(({ due }) => due === null),
    },
  };
}
