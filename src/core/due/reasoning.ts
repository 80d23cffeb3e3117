import { CalendarDate } from '../shared/calendar-date';
import { Interval, LimitKind, Tolerance, UnitAgeOrigin, Whichever } from './rule';

/** Where the odometer, or the hours, at a baseline comes from. */
export type MeterSource = 'given' | 'read' | 'interpolated' | 'carried-back' | 'assumed-0' | 'unknown';

/** A total at the baseline, with the readings it was worked out from. */
export interface MeterAtBaseline {
  total: number | null;
  source: MeterSource;
  /** The readings on either side, or the first one, that it was carried back from. */
  readings: { on: CalendarDate; total: number }[];
}

/** What the intervals are counted from. */
export type BaselineReason =
  | {
      kind: 'completion' | 'trigger';
      completionId: string;
      /** The task done; it differs from the rule's where it satisfies that. */
      task: string;
      on: CalendarDate;
      distance: MeterAtBaseline | null;
      hours: MeterAtBaseline | null;
    }
  | {
      kind: 'in-service' | 'first-fitting';
      on: CalendarDate;
      /** A first interval is in force. */
      firstInterval: boolean;
      distance: MeterAtBaseline | null;
      hours: MeterAtBaseline | null;
    }
  /** A campaign has none; a recurring rule has none where nothing is known. */
  | { kind: 'none' };

/** The dates of one limit; all null beyond the horizon. */
export interface LimitDates {
  earlyOn: CalendarDate | null;
  dueOn: CalendarDate | null;
  lateOn: CalendarDate | null;
  /** 10 % and 90 % dates of the projection, where the limit is projected. */
  earliestOn: CalendarDate | null;
  latestOn: CalendarDate | null;
}

/** How a distance or hours limit was turned into a date. */
export type MeterProjection =
  | {
      how: 'reached';
      before: { on: CalendarDate; total: number } | null;
      after: { on: CalendarDate; total: number };
    }
  /** Total on the day of the last reading, what is left, and the usage per day behind the forecast. */
  | {
      how: 'forecast';
      from: { on: CalendarDate; total: number };
      left: number;
      perDay: number;
      horizonDays: number;
    };

/** One limit with every number that it was worked out from. */
export type LimitReason =
  | ({
      kind: 'time';
      /** As the rule gives them. */
      months: number | null;
      days: number | null;
      /** After severity; the months' fraction has become days. */
      scaledMonths: number;
      scaledDays: number;
      /** A date that a campaign names stands by itself. */
      byOn: CalendarDate | null;
    } & LimitDates)
  | ({
      kind: 'distance' | 'hours';
      /** As the rule gives it; null for an odometer value that a campaign names. */
      every: number | null;
      scaled: number | null;
      from: number | null;
      dueTotal: number;
      projection: MeterProjection;
    } & LimitDates)
  | ({
      kind: 'age';
      months: number;
      scaledMonths: number;
      scaledDays: number;
      since: UnitAgeOrigin;
      fromOn: CalendarDate;
    } & LimitDates)
  | ({
      kind: 'condition';
      limit20BarGauge: number;
      shareOfNominal: number | null;
      nominal20BarGauge: number | null;
      dueAtProbability: number;
    } & LimitDates)
  /** The test failed and was not passed since: it is owed again, whatever the other limits say. */
  | ({ kind: 'failed-test'; completionId: string; task: string; failedOn: CalendarDate } & LimitDates)
  /** A limit that the rule has and that cannot be told. */
  | { kind: LimitKind; undetermined: string[]; dueTotal: number | null };

/** The place of a due item in a series of fixed occurrences. */
export interface OccurrenceReason {
  /** 1 is the first after the anchor. */
  number: number;
  /** Interval to the first, and from one to the next, as the rule gives them. */
  statedFirst: Interval;
  statedEach: Interval;
  /** The same after severity. */
  first: Interval;
  each: Interval;
  /** How many lie wholly before the first known completion. */
  notOwed: number;
  settled: { number: number; dueOn: CalendarDate | null; completionId: string; doneOn: CalendarDate }[];
}

/** Why a due item is what it is: enough to redo it on paper. Compact data; `explain` turns it into sentences. */
export interface Reasoning {
  baseline: BaselineReason;
  /** Null where severity has no hold: a campaign. */
  severity: { dutyClass: string | null; factor: number } | null;
  tolerance: Tolerance;
  whichever: Whichever;
  limits: LimitReason[];
  occurrence: OccurrenceReason | null;
  /** The vehicle's age lets the rule apply only from this day. */
  appliesFromOn: CalendarDate | null;
}
