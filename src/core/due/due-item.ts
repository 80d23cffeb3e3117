import { CalendarDate } from '../shared/calendar-date';
import { Consumable, LimitKind, RuleKind } from './rule';
import { Reasoning } from './reasoning';

/** Something that is owed but cannot be told, with what a person has to record so that it can. */
export interface MissingFact {
  /** Machine-readable: `in-service-date`, `layout.antiSinkValves` … */
  code: string;
  /** A plain sentence: what to record. */
  sentence: string;
}

/** A value in the result that nobody recorded as such. */
export type Mark =
  /** The odometer at the baseline is interpolated between readings. */
  | 'odometer-interpolated'
  /** … is carried back from the first reading at the present rate, 30 days at most. */
  | 'odometer-carried-back'
  | 'odometer-assumed-0'
  /** The odometer of the baseline does not fit the readings around it. */
  | 'odometer-contradicts-readings'
  | 'hours-interpolated'
  | 'hours-carried-back'
  | 'hours-assumed-0'
  | 'hours-contradict-readings'
  /** The limit was passed before the first reading, it is not known when. */
  | 'reached-before-first-reading'
  | 'duty-class-not-recorded'
  /** The completion names no position and is taken as done at every one. */
  | 'position-not-recorded'
  /** The position's own completions stand in for a unit that nobody recorded. */
  | 'unit-not-recorded'
  /** The work at the position names no unit and is taken as done on the one that is fitted. */
  | 'unit-not-named'
  /** The unit's last charge is taken to be its date of manufacture. */
  | 'charged-when-made';

/** One piece of work that a vehicle owes, or may owe once what is missing is recorded. Plain data. */
export interface DueItem {
  /** Stable for a vehicle and a programme: rule code, and `@position` for a unit rule. */
  key: string;
  /**
   * Which interval it is about: another one after every completion that moves the item, the same while only
   * forecasts change. `item key + cycle` names a piece of work once and for all.
   */
  cycle: string;
  ruleCode: string;
  task: string;
  title: string;
  kind: RuleKind;
  position: string | null;
  unitId: string | null;
  safetyCritical: boolean;
  /** The limit that binds; null where none is determined. */
  driver: LimitKind | null;
  /** Start of the window; null where `dueOn` is. */
  earlyOn: CalendarDate | null;
  /** Null where nothing is determined, or where `beyondHorizon`. */
  dueOn: CalendarDate | null;
  lateOn: CalendarDate | null;
  /** The limits are determined, and none is reached as far as the forecasts look. */
  beyondHorizon: boolean;
  /** Total distance at which it is due, where a distance limit is determined; on the vehicle's odometer. */
  dueOdometerKm: number | null;
  dueEngineHours: number | null;
  /** The due date would be this early with a probability of 10 %; null beyond the horizon. */
  earliestOn: CalendarDate | null;
  /** The due date would be later than this with a probability of 10 %; null beyond the horizon. */
  latestOn: CalendarDate | null;
  /** Some limits are not determined; the date comes from the others. */
  partial: boolean;
  /** What is missing, for `partial` items and undetermined ones. */
  missing: MissingFact[];
  marks: Mark[];
  doBefore: readonly string[];
  satisfies: readonly string[];
  labourMinutes: number | null;
  competences: readonly string[];
  bayKind: string | null;
  consumables: readonly Consumable[];
  reasoning: Reasoning;
}
