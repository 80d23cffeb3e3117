import {
  FITTED_ANSWERS,
  PUMP_KINDS,
  STEERING_REGULATORS,
  STEERING_SUPPLIES,
} from '../hydraulics/hydraulic-layout';
import { InputError } from '../shared/input-error';
import { checkRule, hasLimit } from './check-rule';
import { OptionReader } from './option-reader';
import {
  AppliesTo,
  CADENCES,
  CampaignTerms,
  Consumable,
  Interval,
  LayoutCondition,
  PrechargeLimit,
  RULE_KINDS,
  RULE_SCOPES,
  ServiceRule,
  SeverityByDutyClass,
  Tolerance,
  UNIT_AGE_ORIGINS,
  UnitAgeLimit,
  VehicleAgeMonths,
  WHICHEVER,
} from './rule';
import { SEVERITY_DECIMALS } from './severity';
import { readTestLimits } from './test-limits';

/** A normalised value, or every reason why there is none. */
export type Normalised<T> =
  { value: T; errors: readonly [] } | { value: null; errors: readonly InputError[] };

const MONTHS = { min: 1, max: 600 };
const DAYS = { min: 1, max: 20_000 };
const KM = { min: 1, max: 5_000_000 };
const HOURS = { min: 1, max: 200_000 };
const FACTOR = { min: 0.05, max: 20 };
/**
 * A rule as people write it, checked field by field and with every default filled in.
 *
 * @param options anything; meant to be `RuleOptions`
 * @param pointer JSON pointer of the rule in what the caller was given, a prefix to every field
 * @returns the rule, or all errors at once, each with the field and what would be accepted
 */
export function normaliseRule(options: unknown, pointer = ''): Normalised<ServiceRule> {
  const errors: InputError[] = [];
  const reader = new OptionReader(options, pointer, errors);
  if (errors.length > 0) return { value: null, errors };
  const rule = readRule(reader);
  reader.refuseOthers();
  checkRule(reader, rule);
  return errors.length === 0 ? { value: rule, errors: [] } : { value: null, errors };
}

/** Factors by duty class, each from 0.05 to 20 with at most 4 decimals; null where not given. */
export function readSeverity(reader: OptionReader | null): SeverityByDutyClass | null {
  if (reader === null) return null;
  const table: Record<string, number> = {};
  for (const dutyClass of reader.names()) {
    const factor = reader.decimal(dutyClass, FACTOR, SEVERITY_DECIMALS);
    if (factor === null && !reader.has(dutyClass))
      reader.refuse(dutyClass, 'no factor', 'give a number, or leave the class out');
    if (factor !== null) table[dutyClass] = factor;
  }
  return table;
}

function readRule(reader: OptionReader): ServiceRule {
  const code = reader.requiredCode('code');
  const task = reader.requiredCode('task');
  const kind = reader.choice('kind', RULE_KINDS, 'recurring');
  const safetyCritical = reader.flag('safetyCritical');
  const followUp = reader.inside('followUp');
  const every: Interval = {
    months: reader.integer('everyMonths', MONTHS),
    days: reader.integer('everyDays', DAYS),
    km: reader.integer('everyKm', KM),
    engineHours: reader.integer('everyEngineHours', HOURS),
  };
  const after = followUp === null ? null : followUp.requiredCode('afterTask');
  const followUpInterval = followUp && readInterval(followUp, 0);
  return {
    code,
    task,
    title: reader.text('title', 200) ?? task,
    kind,
    scope: reader.choice('scope', RULE_SCOPES, 'vehicle'),
    positions: reader.codes('positions'),
    appliesTo: readAppliesTo(reader.inside('appliesTo')),
    every: kind === 'follow-up' ? (followUpInterval ?? every) : every,
    first: readInterval(reader.inside('first'), 1),
    unitAge: readUnitAge(reader),
    prechargeLimit: readPrechargeLimit(reader.inside('prechargeLimit'), safetyCritical),
    campaign: readCampaign(reader.inside('campaign')),
    after,
    whichever: reader.choice('whichever', WHICHEVER, 'first'),
    severityByDutyClass: readSeverity(reader.inside('severityByDutyClass')),
    cadence: reader.choice('cadence', CADENCES, 'from-completion'),
    tolerance: readTolerance(reader.inside('tolerance')),
    satisfies: reader.codes('satisfies') ?? [],
    doBefore: reader.codes('doBefore') ?? [],
    safetyCritical,
    labourMinutes: reader.integer('labourMinutes', { min: 1, max: 20_000 }),
    competences: reader.codes('competences') ?? [],
    bayKind: reader.code('bayKind'),
    consumables: readConsumables(reader.insideEach('consumables', 50)),
    testLimits: readTestLimits(reader.inside('testLimits')),
    source: reader.text('source', 500),
  };
}

function readInterval(reader: OptionReader | null, min: number): Interval | null {
  if (reader === null) return null;
  const interval = {
    months: reader.integer('months', MONTHS),
    days: reader.integer('days', { ...DAYS, min }),
    km: reader.integer('km', KM),
    engineHours: reader.integer('engineHours', HOURS),
  };
  reader.refuseOthers();
  if (!hasLimit(interval)) reader.refuse('', 'no interval is given', 'give months, days, km or engineHours');
  return interval;
}

function readAppliesTo(reader: OptionReader | null): AppliesTo {
  if (reader === null) {
    return { layout: {}, fluids: null, dutyClasses: null, unitTypes: null, vehicleAgeMonths: null };
  }
  const pumpKind = reader.choices('pumpKind', recorded(PUMP_KINDS));
  const antiSinkValves = reader.choices('antiSinkValves', recorded(FITTED_ANSWERS));
  const rearBrakeAccumulator = reader.choices('rearBrakeAccumulator', recorded(FITTED_ANSWERS));
  const steeringSupply = reader.choices('steeringSupply', recorded(STEERING_SUPPLIES));
  const steeringRegulator = reader.choices('steeringRegulator', recorded(STEERING_REGULATORS));
  const layout: LayoutCondition = {
    ...(pumpKind && { pumpKind }),
    ...(antiSinkValves && { antiSinkValves }),
    ...(rearBrakeAccumulator && { rearBrakeAccumulator }),
    ...(steeringSupply && { steeringSupply }),
    ...(steeringRegulator && { steeringRegulator }),
  };
  const conditions: AppliesTo = {
    layout,
    fluids: reader.codes('fluids'),
    dutyClasses: reader.codes('dutyClasses'),
    unitTypes: reader.codes('unitTypes'),
    vehicleAgeMonths: readVehicleAge(reader.inside('vehicleAgeMonths')),
  };
  reader.refuseOthers();
  for (const name of reader.names()) {
    const listed = { ...layout, ...conditions }[name as 'fluids'];
    if (Array.isArray(listed) && listed.length === 0) {
      reader.refuse(
        name,
        'an empty list applies to nothing',
        'name at least one value, or leave the field out',
      );
    }
  }
  return conditions;
}

function recorded<T extends string>(values: readonly T[]): Exclude<T, 'unverified'>[] {
  return values.filter((value): value is Exclude<T, 'unverified'> => value !== 'unverified');
}

function readVehicleAge(reader: OptionReader | null): VehicleAgeMonths | null {
  if (reader === null) return null;
  const age = {
    from: reader.integer('from', { min: 0, max: 1200 }),
    until: reader.integer('until', { min: 1, max: 1200 }),
  };
  reader.refuseOthers();
  if (age.from === null && age.until === null)
    reader.refuse('', 'no age is given', 'give from, until or both');
  if (age.from !== null && age.until !== null && age.from >= age.until) {
    reader.refuse('until', `${age.until} is not after ${age.from}`, 'give an age above "from"');
  }
  return age;
}

function readUnitAge(reader: OptionReader): UnitAgeLimit | null {
  const months = reader.integer('unitAgeMonths', MONTHS);
  const since = reader.choice('unitAgeSince', UNIT_AGE_ORIGINS, 'manufacture');
  if (months === null && reader.has('unitAgeSince')) {
    reader.refuse('unitAgeSince', 'there is no age limit', 'give unitAgeMonths as well, or leave it out');
  }
  return months === null ? null : { months, since };
}

function readPrechargeLimit(reader: OptionReader | null, safetyCritical: boolean): PrechargeLimit | null {
  if (reader === null) return null;
  const shareOfNominal = reader.decimal('shareOfNominal', { min: 0.05, max: 1 }, 4);
  const bar = reader.decimal('bar', { min: 1, max: 300 }, 3);
  const dueAtProbability = reader.decimal('dueAtProbability', { min: 0.01, max: 0.99 }, 4);
  reader.refuseOthers();
  if (reader.has('shareOfNominal') === reader.has('bar')) {
    reader.refuse('', 'one limit is wanted', 'give either shareOfNominal or bar');
  }
  return { shareOfNominal, bar, dueAtProbability: dueAtProbability ?? (safetyCritical ? 0.1 : 0.5) };
}

function readCampaign(reader: OptionReader | null): CampaignTerms | null {
  if (reader === null) return null;
  const terms = {
    byOn: reader.date('byOn'),
    byOdometerKm: reader.integer('byOdometerKm', KM),
    issuedOn: reader.date('issuedOn'),
  };
  reader.refuseOthers();
  if (!reader.has('byOn') && !reader.has('byOdometerKm')) {
    reader.refuse('', 'the campaign has no end', 'give byOn, byOdometerKm or both');
  }
  return terms;
}

function readTolerance(reader: OptionReader | null): Tolerance {
  const read = (name: string, max: number): number => reader?.integer(name, { min: 0, max }) ?? 0;
  const tolerance = {
    earlyDays: read('earlyDays', 3650),
    lateDays: read('lateDays', 3650),
    earlyKm: read('earlyKm', 500_000),
    lateKm: read('lateKm', 500_000),
  };
  reader?.refuseOthers();
  return tolerance;
}

function readConsumables(readers: OptionReader[] | null): Consumable[] {
  return (readers ?? []).map((reader) => {
    const item = reader.requiredCode('item');
    const quantity = reader.decimal('quantity', { min: 0.001, max: 100_000 }, 3);
    const unit = reader.text('unit', 20);
    reader.refuseOthers();
    if (!reader.has('quantity')) reader.refuse('quantity', 'quantity is missing', 'give a number above 0');
    if (!reader.has('unit')) reader.refuse('unit', 'unit is missing', 'give a unit such as l or piece');
    return { item, quantity: quantity ?? 0, unit: unit ?? '' };
  });
}
