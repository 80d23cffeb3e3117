import { ApiProperty, type ApiPropertyOptions } from '@nestjs/swagger';
import {
  CADENCES,
  RULE_KINDS,
  RULE_SCOPES,
  UNIT_AGE_ORIGINS,
  WHICHEVER,
  type Cadence,
  type RuleKind,
  type RuleScope,
  type UnitAgeOrigin,
  type Whichever,
} from '../../../core/due/rule';

// These classes describe rules in the contract. The core checks them, so that every refusal names the field
// and says what would be accepted.

const factors = {
  type: 'object',
  additionalProperties: { type: 'number', minimum: 0.05, maximum: 20 },
} as const;

const code = { type: String, pattern: '^[a-z0-9]+(-[a-z0-9]+)*$', maxLength: 64 } as const;
const codes: ApiPropertyOptions = {
  type: 'array',
  items: { type: 'string', pattern: code.pattern, maxLength: code.maxLength },
  required: false,
  nullable: true,
  maxItems: 100,
};

export class IntervalDto {
  /** Whole months, 1 to 600. */
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 1, maximum: 600 })
  months?: number | null;
  /** Days on top of the months. */
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 0, maximum: 20_000 })
  days?: number | null;
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 1, maximum: 5_000_000 })
  km?: number | null;
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 1, maximum: 200_000 })
  engineHours?: number | null;
}

export class FollowUpDto extends IntervalDto {
  /** Task that it comes after. */
  @ApiProperty(code)
  afterTask!: string;
}

export class VehicleAgeMonthsDto {
  /** From this age, inclusive. */
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 0, maximum: 1200 })
  from?: number | null;
  /** Until this age, exclusive. */
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 1, maximum: 1200 })
  until?: number | null;
}

/** To whom a rule applies: every condition that is given must hold. */
export class AppliesToDto {
  @ApiProperty(codes)
  pumpKind?: string[] | null;
  @ApiProperty(codes)
  antiSinkValves?: string[] | null;
  @ApiProperty(codes)
  rearBrakeAccumulator?: string[] | null;
  @ApiProperty(codes)
  steeringSupply?: string[] | null;
  @ApiProperty(codes)
  steeringRegulator?: string[] | null;
  /** Fluids, such as mineral. */
  @ApiProperty(codes)
  fluids?: string[] | null;
  @ApiProperty(codes)
  dutyClasses?: string[] | null;
  /** Type codes of gas units; only for rules of scope unit. */
  @ApiProperty(codes)
  unitTypes?: string[] | null;
  @ApiProperty({ type: VehicleAgeMonthsDto, required: false, nullable: true })
  vehicleAgeMonths?: VehicleAgeMonthsDto | null;
}

/** Precharge at 20 °C below which the task is due: either a share of the nominal precharge, or bar gauge. */
export class PrechargeLimitDto {
  @ApiProperty({ type: 'number', required: false, nullable: true, minimum: 0.05, maximum: 1 })
  shareOfNominal?: number | null;
  @ApiProperty({ type: 'number', required: false, nullable: true, minimum: 1, maximum: 300 })
  bar?: number | null;
  /** Probability of being below the limit at which it is due; 0.5, or 0.1 for a safety-critical rule. */
  @ApiProperty({ type: 'number', required: false, nullable: true, minimum: 0.01, maximum: 0.99 })
  dueAtProbability?: number | null;
}

/** Owed once: at least one of `byOn` and `byOdometerKm`. */
export class CampaignDto {
  @ApiProperty({ format: 'date', required: false, nullable: true, type: String })
  byOn?: string | null;
  /** Total distance. */
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 1, maximum: 5_000_000 })
  byOdometerKm?: number | null;
  /** Completions before this day do not count. */
  @ApiProperty({ format: 'date', required: false, nullable: true, type: String })
  issuedOn?: string | null;
}

/** How much earlier and later than due the work may be done. */
export class ToleranceDto {
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 0, maximum: 3650 })
  earlyDays?: number | null;
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 0, maximum: 3650 })
  lateDays?: number | null;
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 0, maximum: 500_000 })
  earlyKm?: number | null;
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 0, maximum: 500_000 })
  lateKm?: number | null;
}

export class RuleConsumableDto {
  /** @example mineral-fluid */
  @ApiProperty(code)
  item!: string;
  @ApiProperty({ type: 'number', minimum: 0.001, maximum: 100_000 })
  quantity!: number;
  /** @example l */
  @ApiProperty({ maxLength: 20 })
  unit!: string;
}

const number = (minimum: number, maximum: number) =>
  ({ type: 'number', required: false, nullable: true, minimum, maximum }) as const;

/** What a test of the rule's task is judged by; a limit that is left out judges nothing. Gauge pressures. */
export class TestLimitsDto {
  /** Share of the nominal precharge below which a stopwatch test finds a unit weak. */
  @ApiProperty(number(0.05, 1))
  lowestPrechargeShare?: number | null;
  /** Seconds between two charges of the pump, idling and with nothing in use. */
  @ApiProperty(number(1, 3600))
  shortestCycleSeconds?: number | null;
  @ApiProperty(number(0.1, 5000))
  highestLeakMlPerMin?: number | null;
  @ApiProperty(number(1, 300))
  cutInLowBar?: number | null;
  @ApiProperty(number(1, 300))
  cutInHighBar?: number | null;
  @ApiProperty(number(1, 300))
  cutOutLowBar?: number | null;
  @ApiProperty(number(1, 300))
  cutOutHighBar?: number | null;
  /** Where the low-pressure warning has to come on. */
  @ApiProperty(number(1, 300))
  warningLowBar?: number | null;
  @ApiProperty(number(1, 300))
  warningHighBar?: number | null;
  /** Ride height that anti-sink valves may lose. */
  @ApiProperty(number(0.1, 100))
  highestSinkMmPerHour?: number | null;
  /** The low-pressure warning may not come on within this many full applications of the brakes. */
  @ApiProperty(number(1, 50))
  warningNotWithinApplications?: number | null;
}

/** One rule: what is to be done, on which vehicles or units, and when. Only `code`, `task` and a limit are needed. */
export class RuleDto {
  /** Unique in the programme and the same from version to version. @example fluid-change-mineral */
  @ApiProperty(code)
  code!: string;
  /** What is done; several rules may ask for the same task. @example fluid-change */
  @ApiProperty(code)
  task!: string;
  /** For people; the task where it is left out. */
  @ApiProperty({ type: String, required: false, nullable: true, maxLength: 200 })
  title?: string | null;
  /** Comes back after every completion, is owed once, or is owed after another task. */
  @ApiProperty({ enum: RULE_KINDS, required: false, nullable: true, type: String, default: 'recurring' })
  kind?: RuleKind | null;
  /** One due item for the vehicle, or one for each gas unit. */
  @ApiProperty({ enum: RULE_SCOPES, required: false, nullable: true, type: String, default: 'vehicle' })
  scope?: RuleScope | null;
  /** Positions that a unit rule looks at; every position where it is left out. */
  @ApiProperty(codes)
  positions?: string[] | null;
  @ApiProperty({ type: AppliesToDto, required: false, nullable: true })
  appliesTo?: AppliesToDto | null;
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 1, maximum: 600 })
  everyMonths?: number | null;
  /** Days on top of the months. */
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 1, maximum: 20_000 })
  everyDays?: number | null;
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 1, maximum: 5_000_000 })
  everyKm?: number | null;
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 1, maximum: 200_000 })
  everyEngineHours?: number | null;
  /** Until the first completion, in place of the limits that it names. */
  @ApiProperty({ type: IntervalDto, required: false, nullable: true })
  first?: IntervalDto | null;
  /** Age of the unit at which it is due. */
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 1, maximum: 600 })
  unitAgeMonths?: number | null;
  /** What the age is counted from. */
  @ApiProperty({
    enum: UNIT_AGE_ORIGINS,
    required: false,
    nullable: true,
    type: String,
    default: 'manufacture',
  })
  unitAgeSince?: UnitAgeOrigin | null;
  @ApiProperty({ type: PrechargeLimitDto, required: false, nullable: true })
  prechargeLimit?: PrechargeLimitDto | null;
  @ApiProperty({ type: CampaignDto, required: false, nullable: true })
  campaign?: CampaignDto | null;
  @ApiProperty({ type: FollowUpDto, required: false, nullable: true })
  followUp?: FollowUpDto | null;
  /** With several limits: due at the first that is reached, or at the last. */
  @ApiProperty({ enum: WHICHEVER, required: false, nullable: true, type: String, default: 'first' })
  whichever?: Whichever | null;
  /** Multipliers of the intervals by duty class, in place of the programme's own. */
  @ApiProperty({ ...factors, selfRequired: false, nullable: true })
  severityByDutyClass?: Record<string, number> | null;
  /** Whether the next interval starts at the completion, or occurrences stay where they are. */
  @ApiProperty({ enum: CADENCES, required: false, nullable: true, type: String, default: 'from-completion' })
  cadence?: Cadence | null;
  @ApiProperty({ type: ToleranceDto, required: false, nullable: true })
  tolerance?: ToleranceDto | null;
  /** Other tasks that are done with it. */
  @ApiProperty(codes)
  satisfies?: string[] | null;
  /** Tasks that have to be done before it. */
  @ApiProperty(codes)
  doBefore?: string[] | null;
  /** A vehicle on which it is overdue is on hold. */
  @ApiProperty({ type: Boolean, required: false, nullable: true, default: false })
  safetyCritical?: boolean | null;
  @ApiProperty({ type: 'integer', required: false, nullable: true, minimum: 1, maximum: 20_000 })
  labourMinutes?: number | null;
  @ApiProperty(codes)
  competences?: string[] | null;
  /** @example lift */
  @ApiProperty({ ...code, required: false, nullable: true })
  bayKind?: string | null;
  @ApiProperty({ type: [RuleConsumableDto], required: false, nullable: true, maxItems: 50 })
  consumables?: RuleConsumableDto[] | null;
  @ApiProperty({ type: TestLimitsDto, required: false, nullable: true })
  testLimits?: TestLimitsDto | null;
  /** Where the figures come from. */
  @ApiProperty({ type: String, required: false, nullable: true, maxLength: 500 })
  source?: string | null;
}

/** How rules and factors by duty class appear in requests and answers. */
export const rulesSchema: { type: [typeof RuleDto]; minItems: number; maxItems: number } = {
  type: [RuleDto],
  minItems: 1,
  maxItems: 200,
};
export const severitySchema = factors;
