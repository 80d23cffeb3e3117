import { CalendarDate } from '../shared/calendar-date';
import { containsDay, DayInterval } from '../shared/day-interval';
import { DueItem } from './due-item';
import { DatedItem, stateOn } from './state';

/** A safety-critical finding that stands, such as one that follows from the layout. */
export interface StandingFinding {
  code: string;
  because: string;
  /** Null where it follows from the layout alone. */
  since: CalendarDate | null;
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
  Pick<DueItem, 'key' | 'cycle' | 'task' | 'title' | 'position' | 'safetyCritical'> & {
    /** The test that it is driven by, where it failed and was not passed since. */
    failedTest: FailedTest | null;
  };

/** The test that drives an item, where one failed and was not passed since. */
export function failedTestOf({
  driver,
  reasoning,
}: Pick<DueItem, 'driver' | 'reasoning'>): FailedTest | null {
  if (driver !== 'failed-test') return null;
  return reasoning.limits.find((limit) => 'failedOn' in limit) ?? null;
}

export interface FailedTest {
  completionId: string;
  task: string;
  failedOn: CalendarDate;
}

/** Everything that can hold one vehicle. */
export interface HoldInput {
  items: readonly HoldableItem[];
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
 * A failed test holds the vehicle until its due item is driven by it no more: until it is passed, or work that
 * satisfies it is done, or the unit that failed is exchanged. An undetermined item holds nothing: it is owed a
 * look, and shown as such.
 */
export function holdOn(input: HoldInput, today: CalendarDate): HoldStatus {
  const found = [
    ...overdueReasons(input.items, today),
    ...failedTestReasons(input.items, today),
    ...input.findings.map((finding) => reason('finding', finding.code, finding.because, finding.since)),
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
  return (
    items
      // one that failed is a reason of its own
      .filter((item) => item.safetyCritical && item.failedTest === null && stateOn(item, today) === 'overdue')
      .map((item) => {
        const place = item.position === null ? '' : ` at ${item.position}`;
        const lateOn = item.lateOn ?? '';
        return reason(
          'overdue',
          `${item.key}:${item.cycle}`,
          `${item.title}${place} is overdue since ${lateOn}`,
          lateOn,
        );
      })
  );
}

function failedTestReasons(items: readonly HoldableItem[], today: CalendarDate): HoldReason[] {
  return items.flatMap(({ safetyCritical, failedTest, position, task, title }) => {
    if (!safetyCritical || failedTest === null || failedTest.failedOn > today) return [];
    const place = position === null ? '' : ` at ${position}`;
    const { completionId, failedOn } = failedTest;
    const test = failedTest.task === task ? `"${title}"` : failedTest.task;
    return [reason('failed-test', completionId, `${test}${place} failed on ${failedOn}`, failedOn)];
  });
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
