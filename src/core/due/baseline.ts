import { CalendarDate, toEpochDay } from '../shared/calendar-date';
import { dayText } from './day-text';
import { BACKWARDS_LIMIT_DAYS, totalOn } from '../usage/meter-track';
import { Mark, MissingFact } from './due-item';
import { MeterAtBaseline } from './reasoning';
import { ServiceRule } from './rule';
import { CountedCompletion, Meter, Subject } from './subject';

/** For each task, the tasks whose completion counts for it: itself, and those that satisfy it. */
export type SatisfyingTasks = ReadonlyMap<string, ReadonlySet<string>>;

/**
 * Who satisfies whom, read off all rules of a programme, whether or not they apply to the vehicle: a
 * completion of A counts for every task that a rule for A lists. Not transitive: A satisfies what it lists.
 */
export function satisfyingTasksOf(rules: readonly ServiceRule[]): SatisfyingTasks {
  const satisfying = new Map<string, Set<string>>();
  const include = (task: string, by: string): void => {
    const known = satisfying.get(task);
    if (known) known.add(by);
    else satisfying.set(task, new Set([task, by]));
  };
  for (const rule of rules) {
    include(rule.task, rule.task);
    if (rule.after !== null) include(rule.after, rule.after);
    for (const task of rule.satisfies) include(task, rule.task);
  }
  return satisfying;
}

/**
 * The completions that count for a task of a subject, in no particular order. Work recorded at one position
 * counts for the whole vehicle only where it is the task itself, not another that satisfies it.
 */
export function completionsOf(
  subject: Subject,
  task: string,
  satisfying: SatisfyingTasks,
): readonly CountedCompletion[] {
  const tasks = satisfying.get(task);
  return subject.completions.filter(
    (each) =>
      each.task === task ||
      (tasks !== undefined && tasks.has(each.task) && (subject.position !== null || !each.atOnePosition)),
  );
}

/**
 * Orders completions from the earliest to the latest: by date, then by the moment where both have one, then by
 * odometer (one without before one with), then by id. The latest is the baseline.
 */
export function compareCompletions(a: CountedCompletion, b: CountedCompletion): number {
  if (a.on !== b.on) return a.on < b.on ? -1 : 1;
  if (a.at !== null && b.at !== null && a.at !== b.at) return a.at - b.at;
  const [kmA, kmB] = [a.totalKm ?? -1, b.totalKm ?? -1];
  if (kmA !== kmB) return kmA - kmB;
  return a.id < b.id ? -1 : a.id > b.id ? 1 : 0;
}

/** The latest of some completions, null for none. */
export function latestCompletion(completions: readonly CountedCompletion[]): CountedCompletion | null {
  let latest: CountedCompletion | null = null;
  for (const each of completions) if (latest === null || compareCompletions(each, latest) > 0) latest = each;
  return latest;
}

/** A total at a baseline, and what is to be said about it. */
export interface ResolvedTotal {
  at: MeterAtBaseline;
  mark: Mark | null;
  missing: MissingFact | null;
}

/**
 * The total at a completion: as given, else as read that day or interpolated between the readings around it,
 * else carried back from the first reading at the forecast's rate for at most 30 days, else unknown.
 */
export function totalAtCompletion(
  meter: Meter,
  kind: 'distance' | 'hours',
  completion: { on: CalendarDate; task: string },
  given: number | null,
): ResolvedTotal {
  if (given !== null) {
    return { at: { total: given, source: 'given', readings: [] }, mark: null, missing: null };
  }
  const day = toEpochDay(completion.on);
  const found = totalOn(meter.track, day, meter.forecast ?? undefined);
  const name = kind === 'distance' ? 'odometer' : 'hours';
  switch (found.how) {
    case 'read':
      return { at: { total: found.total, source: 'read', readings: [] }, mark: null, missing: null };
    case 'interpolated':
      return {
        at: { total: found.total, source: 'interpolated', readings: readingsAround(meter, day) },
        mark: `${name}-interpolated`,
        missing: null,
      };
    case 'forecast-backwards':
      return {
        at: { total: found.total, source: 'carried-back', readings: readingsAround(meter, day) },
        mark: `${name}-carried-back`,
        missing: null,
      };
    case 'outside':
      return {
        at: { total: null, source: 'unknown', readings: [] },
        mark: null,
        missing: missingTotal(kind, completion),
      };
  }
}

function missingTotal(
  kind: 'distance' | 'hours',
  completion: { on: CalendarDate; task: string },
): MissingFact {
  const [code, what] = kind === 'distance' ? ['odometer', 'odometer'] : ['engine-hours', 'engine hours'];
  return {
    code: `completion-${code}`,
    sentence:
      `Record the ${what} at "${completion.task}" of ${completion.on}, or readings before and after that day ` +
      `(a first reading at most ${BACKWARDS_LIMIT_DAYS} days later will do).`,
  };
}

function readingsAround(meter: Meter, day: number): { on: CalendarDate; total: number }[] {
  const after = meter.track.findIndex((point) => point.day > day);
  return meter.track
    .slice(Math.max(0, after - 1), after + 1)
    .map((point) => ({ on: dayText(point.day), total: point.total }));
}
