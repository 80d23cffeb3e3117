import { CalendarDate } from '../shared/calendar-date';
import { containsDay, DayInterval } from '../shared/day-interval';
import { SatisfyingTasks } from './baseline';
import { TaskCompletion } from './due-input';
import { DueItem } from './due-item';
import { DatedItem, stateOn } from './state';

/** A safety-critical finding that stands, such as one that follows from the layout. */
export interface StandingFinding {
  code: string;
  because: string;
}

/** A person's decision to hold a vehicle, until somebody lifts it. */
export interface ManualHold {
  id: string;
  reason: string;
  placedBy: string;
  placedOn: CalendarDate;
  /** From this day it holds no more; null while it stands. */
  liftedOn: CalendarDate | null;
}

/** A named person's decision to let the vehicle go in spite of some reasons, for some days. */
export interface HoldOverride {
  id: string;
  byName: string;
  why: string;
  during: DayInterval;
  /** Keys of the reasons that it lifts; any other still holds the vehicle. */
  reasonKeys: readonly string[];
}

export const HOLD_REASON_KINDS = ['overdue', 'failed-test', 'finding', 'manual'] as const;
export type HoldReasonKind = (typeof HOLD_REASON_KINDS)[number];

/** Why a vehicle is not to be released to the road. */
export interface HoldReason {
  /** What an override names: stable, and different for the next occasion of the same kind. */
  key: string;
  kind: HoldReasonKind;
  sentence: string;
  since: CalendarDate | null;
  /** The override in force, null where the reason holds the vehicle. */
  overriddenBy: { overrideId: string; byName: string; untilOn: CalendarDate } | null;
}

/** The part of a due item that a hold hangs on. */
export type HoldableItem = DatedItem &
  Pick<DueItem, 'key' | 'cycle' | 'title' | 'position' | 'safetyCritical'>;

/** Everything that can hold one vehicle. */
export interface HoldInput {
  items: readonly HoldableItem[];
  /** Tests with the outcome `failed`, and the jobs that mend them. */
  completions: readonly TaskCompletion[];
  /** Tasks whose failed test holds the vehicle: those of safety-critical rules. */
  safetyCriticalTasks: ReadonlySet<string>;
  satisfying: SatisfyingTasks;
  findings: readonly StandingFinding[];
  manualHolds: readonly ManualHold[];
  overrides: readonly HoldOverride[];
}

export interface HoldStatus {
  /** True while at least one reason is not overridden. */
  onHold: boolean;
  /** Overridden ones too, so that nobody forgets them; ordered by key. */
  reasons: HoldReason[];
}

/**
 * Whether a vehicle may be released to the road on a local day, and every reason why not: a safety-critical
 * item past its late limit, a safety-critical test that failed and was not done again since, a finding that
 * stands, a hold that a person placed. An override lifts the reasons it names, on the days it names.
 *
 * A failed test is mended by a later completion of its task (or of one that satisfies it) at the same position;
 * on the same day the order of recording (ids) decides. An undetermined item holds nothing: it is owed a look,
 * and shown as such.
 */
export function holdOn(input: HoldInput, today: CalendarDate): HoldStatus {
  const found = [
    ...overdueReasons(input.items, today),
    ...failedTestReasons(input, today),
    ...input.findings.map((finding) => reason('finding', finding.code, finding.because, null)),
    ...input.manualHolds
      .filter((hold) => hold.placedOn <= today && (hold.liftedOn === null || today < hold.liftedOn))
      .map((hold) => reason('manual', hold.id, `${hold.reason} (held by ${hold.placedBy})`, hold.placedOn)),
  ];
  const reasons = found.map((each) => ({
    ...each,
    overriddenBy: overrideOf(each.key, input.overrides, today),
  }));
  reasons.sort((a, b) => (a.key < b.key ? -1 : a.key > b.key ? 1 : 0));
  return { onHold: reasons.some((each) => each.overriddenBy === null), reasons };
}

function overdueReasons(items: readonly HoldableItem[], today: CalendarDate): HoldReason[] {
  return items
    .filter((item) => item.safetyCritical && stateOn(item, today) === 'overdue')
    .map((item) => {
      const place = item.position === null ? '' : ` at ${item.position}`;
      const lateOn = item.lateOn ?? '';
      return reason(
        'overdue',
        `${item.key}:${item.cycle}`,
        `${item.title}${place} is overdue since ${lateOn}`,
        lateOn,
      );
    });
}

function failedTestReasons(input: HoldInput, today: CalendarDate): HoldReason[] {
  const known = input.completions.filter((each) => each.doneOn <= today);
  return known
    .filter((each) => each.outcome === 'failed' && input.safetyCriticalTasks.has(each.task))
    .filter((failed) => !known.some((each) => mends(each, failed, input.satisfying)))
    .map((failed) => {
      const place = failed.position === null ? '' : ` at ${failed.position}`;
      return reason(
        'failed-test',
        failed.id,
        `${failed.task}${place} failed on ${failed.doneOn}`,
        failed.doneOn,
      );
    });
}

function mends(done: TaskCompletion, failed: TaskCompletion, satisfying: SatisfyingTasks): boolean {
  if (done.outcome === 'failed') return false;
  if (done.task !== failed.task && satisfying.get(failed.task)?.has(done.task) !== true) return false;
  // work on the whole vehicle counts at every position; work at one position for that one only
  if (done.position !== null && done.position !== failed.position) return false;
  return done.doneOn > failed.doneOn || (done.doneOn === failed.doneOn && done.id > failed.id);
}

function overrideOf(
  key: string,
  overrides: readonly HoldOverride[],
  today: CalendarDate,
): HoldReason['overriddenBy'] {
  let found: HoldOverride | null = null;
  for (const each of overrides) {
    if (!each.reasonKeys.includes(key) || !containsDay(each.during, today)) continue;
    const later = found === null || each.during.untilOn > found.during.untilOn;
    if (later || (each.during.untilOn === found?.during.untilOn && each.id < found.id)) found = each;
  }
  return found && { overrideId: found.id, byName: found.byName, untilOn: found.during.untilOn };
}

function reason(kind: HoldReasonKind, key: string, sentence: string, since: CalendarDate | null): HoldReason {
  return { key: `${kind}:${key}`, kind, sentence, since, overriddenBy: null };
}
