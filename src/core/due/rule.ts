import { CalendarDate } from '../shared/calendar-date';
import { HydraulicLayout, VariantFact } from '../hydraulics/hydraulic-layout';
import { TestLimits } from './test-limits';

/** `vehicle`: one due item for the vehicle. `unit`: one for each gas unit, or position of one. */
export const RULE_SCOPES = ['vehicle', 'unit'] as const;
/** `recurring` comes back after every completion; `campaign` is owed once; `follow-up` is owed after another task. */
export const RULE_KINDS = ['recurring', 'campaign', 'follow-up'] as const;
/** With several limits: due at the `first` that is reached, or at the `last`. */
export const WHICHEVER = ['first', 'last'] as const;
/** `from-completion`: the next interval starts at the completion. `fixed`: occurrences stay where they are. */
export const CADENCES = ['from-completion', 'fixed'] as const;
/** What the age of a unit is counted from. */
export const UNIT_AGE_ORIGINS = ['manufacture', 'last-charge'] as const;

export type RuleScope = (typeof RULE_SCOPES)[number];
export type RuleKind = (typeof RULE_KINDS)[number];
export type Whichever = (typeof WHICHEVER)[number];
export type Cadence = (typeof CADENCES)[number];
export type UnitAgeOrigin = (typeof UNIT_AGE_ORIGINS)[number];

/** The kinds of limit, in the order in which they win a tie for the driver. */
export const LIMIT_KINDS = ['failed-test', 'condition', 'age', 'time', 'distance', 'hours'] as const;
export type LimitKind = (typeof LIMIT_KINDS)[number];

/** Multipliers of the intervals by duty class, such as `{ severe: 0.7 }`; a class that is not named has 1. */
export type SeverityByDutyClass = Readonly<Record<string, number>>;

/** A part or material that the task uses up. */
export interface Consumable {
  item: string;
  quantity: number;
  /** Unit of the quantity: `l`, `piece`, `kg` … */
  unit: string;
}

/** Intervals as a rule gives them; null where the rule has no such limit. Months and days together are one limit. */
export interface Interval {
  months: number | null;
  days: number | null;
  km: number | null;
  engineHours: number | null;
}

/** Age of the vehicle at the due date, counted from its in-service date: from (inclusive) until (exclusive). */
export interface VehicleAgeMonths {
  from: number | null;
  until: number | null;
}

type RecordedValue<F extends VariantFact> = Exclude<HydraulicLayout[F], 'unverified'>;

/** Values that a recorded variant fact must have one of; a fact that is not named does not matter. */
export type LayoutCondition = { readonly [F in VariantFact]?: readonly RecordedValue<F>[] };

/** To whom a rule applies: every condition that is given must hold. */
export interface AppliesTo {
  layout: LayoutCondition;
  /** Fluids, null for any. */
  fluids: readonly string[] | null;
  dutyClasses: readonly string[] | null;
  /** Type codes of gas units; only for rules of scope `unit`. */
  unitTypes: readonly string[] | null;
  vehicleAgeMonths: VehicleAgeMonths | null;
}

export interface UnitAgeLimit {
  months: number;
  since: UnitAgeOrigin;
}

/** Precharge at 20 °C below which the task is due: a share of the unit's nominal precharge, or bar gauge. */
export interface PrechargeLimit {
  shareOfNominal: number | null;
  bar: number | null;
  /** Probability of being below the limit at which the task is due, 0.01 to 0.99. */
  dueAtProbability: number;
}

/** Days shift a date; kilometres move the due distance before it is turned into a date. Never negative. */
export interface Tolerance {
  earlyDays: number;
  lateDays: number;
  earlyKm: number;
  lateKm: number;
}

/** Owed once, by a date or by an odometer value (total distance) or by whichever comes first or last. */
export interface CampaignTerms {
  byOn: CalendarDate | null;
  byOdometerKm: number | null;
  /** Completions before this day do not count; null counts them all. */
  issuedOn: CalendarDate | null;
}

/**
 * One rule of a service programme, normalised: every default filled in, every field checked. Only
 * `normaliseRule` and `normaliseProgramme` make one; the engine takes nothing else.
 */
export interface ServiceRule {
  /** Unique in its programme and stable from version to version. */
  code: string;
  /** What is done; several rules may ask for the same task. */
  task: string;
  title: string;
  kind: RuleKind;
  scope: RuleScope;
  /** Positions that a unit rule looks at; null is every position that the vehicle has. */
  positions: readonly string[] | null;
  appliesTo: AppliesTo;
  /** Counted from the baseline; for a follow-up from the task it follows. All null for a campaign. */
  every: Interval;
  /** Until the first completion, in place of the limits of `every` that it names. */
  first: Interval | null;
  unitAge: UnitAgeLimit | null;
  prechargeLimit: PrechargeLimit | null;
  campaign: CampaignTerms | null;
  /** The task that a follow-up comes after. */
  after: string | null;
  whichever: Whichever;
  /** Takes the place of the programme's own table; null leaves that in force. */
  severityByDutyClass: SeverityByDutyClass | null;
  cadence: Cadence;
  tolerance: Tolerance;
  /** Other tasks that are done with it. */
  satisfies: readonly string[];
  /** Tasks that have to be done before it. */
  doBefore: readonly string[];
  safetyCritical: boolean;
  labourMinutes: number | null;
  competences: readonly string[];
  bayKind: string | null;
  consumables: readonly Consumable[];
  /** What a test of this task is judged by; null where the rule sets nothing. */
  testLimits: TestLimits | null;
  /** Where the figures come from, shown to people. */
  source: string | null;
}

/** The rules in force for a vehicle. */
export interface ServiceProgramme {
  rules: readonly ServiceRule[];
  severityByDutyClass: SeverityByDutyClass;
}

/** Intervals as they are written in a programme. */
export interface IntervalOptions {
  months?: number | null;
  days?: number | null;
  km?: number | null;
  engineHours?: number | null;
}

/**
 * A rule as people write it and as a programme version stores it: plain JSON, everything but `code`, `task`
 * and at least one limit may be left out.
 */
export interface RuleOptions {
  code: string;
  task: string;
  /** Default: the task. */
  title?: string | null;
  /** Default `recurring`. */
  kind?: RuleKind | null;
  /** Default `vehicle`. */
  scope?: RuleScope | null;
  positions?: string[] | null;
  appliesTo?: {
    pumpKind?: string[] | null;
    antiSinkValves?: string[] | null;
    rearBrakeAccumulator?: string[] | null;
    steeringSupply?: string[] | null;
    steeringRegulator?: string[] | null;
    fluids?: string[] | null;
    dutyClasses?: string[] | null;
    unitTypes?: string[] | null;
    vehicleAgeMonths?: { from?: number | null; until?: number | null } | null;
  } | null;
  everyMonths?: number | null;
  everyDays?: number | null;
  everyKm?: number | null;
  everyEngineHours?: number | null;
  first?: IntervalOptions | null;
  unitAgeMonths?: number | null;
  /** Default `manufacture`. */
  unitAgeSince?: UnitAgeOrigin | null;
  prechargeLimit?: {
    shareOfNominal?: number | null;
    bar?: number | null;
    /** Default 0.5, or 0.1 for a safety-critical rule. */
    dueAtProbability?: number | null;
  } | null;
  /** For a campaign: at least one of `byOn` and `byOdometerKm`. */
  campaign?: { byOn?: string | null; byOdometerKm?: number | null; issuedOn?: string | null } | null;
  /** For a follow-up: the task it comes after and the interval to it. */
  followUp?: ({ afterTask: string } & IntervalOptions) | null;
  /** Default `first`. */
  whichever?: Whichever | null;
  severityByDutyClass?: Record<string, number> | null;
  /** Default `from-completion`. */
  cadence?: Cadence | null;
  /** Default 0 each. */
  tolerance?: {
    earlyDays?: number | null;
    lateDays?: number | null;
    earlyKm?: number | null;
    lateKm?: number | null;
  } | null;
  satisfies?: string[] | null;
  doBefore?: string[] | null;
  /** Default false. */
  safetyCritical?: boolean | null;
  labourMinutes?: number | null;
  competences?: string[] | null;
  bayKind?: string | null;
  consumables?: Consumable[] | null;
  testLimits?: Partial<TestLimits> | null;
  source?: string | null;
}

/** A programme as it is written and stored. */
export interface ProgrammeOptions {
  rules: RuleOptions[];
  severityByDutyClass?: Record<string, number> | null;
}
