import { CalendarDate } from '../shared/calendar-date';
import { SatisfyingTasks } from './baseline';
import { DueInput } from './due-input';
import { Mark } from './due-item';
import { Limit } from './limit';
import { BaselineReason, OccurrenceReason } from './reasoning';
import { Severity } from './severity';
import { Meter } from './subject';
import { Window } from './window';

/** What the calculations of one vehicle share. */
export interface DueContext {
  input: DueInput;
  satisfying: SatisfyingTasks;
  /** The vehicle's own odometer. */
  odometer: Meter;
}

/** What a rule asks of a subject, before it becomes a due item. */
export interface Owed {
  limits: Limit[];
  /** Null where nothing is determined. */
  window: Window | null;
  baseline: BaselineReason;
  severity: Severity | null;
  occurrence: OccurrenceReason | null;
  /** The vehicle's age lets the rule apply only from this day. */
  appliesFromOn: CalendarDate | null;
  marks: Mark[];
}
