import { OptionReader } from './option-reader';
import { Interval, ServiceRule } from './rule';

/** A fixed series with a shorter distance would have more occurrences than anybody wants to see. */
const FIXED_MIN_KM = 100;
const FIXED_MIN_HOURS = 10;

/** Refuses fields that do not go with each other or with the kind of the rule, each at the field that is to be mended. */
export function checkRule(reader: OptionReader, rule: ServiceRule): void {
  checkKind(reader, rule);
  checkUnitFields(reader, rule);
  checkSeries(reader, rule);
}

const EVERY_FIELDS = ['everyMonths', 'everyDays', 'everyKm', 'everyEngineHours'];
const RECURRING_FIELDS = [...EVERY_FIELDS, 'first', 'unitAgeMonths', 'prechargeLimit', 'cadence'];

function checkKind(reader: OptionReader, rule: ServiceRule): void {
  const refuseGiven = (names: readonly string[]): void => {
    for (const name of names) {
      if (reader.has(name))
        reader.refuse(name, `a ${rule.kind} rule has no ${name}`, 'leave it out, or change kind');
    }
  };
  switch (rule.kind) {
    case 'recurring':
      refuseGiven(['campaign', 'followUp']);
      if (![...EVERY_FIELDS, 'unitAgeMonths', 'prechargeLimit'].some((name) => reader.has(name))) {
        reader.refuse(
          '',
          'the rule has no limit',
          'give everyMonths, everyDays, everyKm, everyEngineHours, unitAgeMonths or prechargeLimit',
        );
      }
      break;
    case 'campaign':
      refuseGiven([...RECURRING_FIELDS, 'followUp', 'severityByDutyClass']);
      if (!reader.has('campaign'))
        reader.refuse('campaign', 'campaign is missing', 'give byOn, byOdometerKm or both');
      break;
    case 'follow-up':
      refuseGiven([...RECURRING_FIELDS, 'campaign']);
      if (!reader.has('followUp'))
        reader.refuse('followUp', 'followUp is missing', 'give afterTask and an interval');
      if (rule.after === rule.task)
        reader.refuse('followUp/afterTask', 'a task cannot follow itself', 'name another task');
      break;
  }
  if (rule.satisfies.includes(rule.task))
    reader.refuse('satisfies', 'a task satisfies itself anyway', 'leave it out');
  if (rule.doBefore.includes(rule.task))
    reader.refuse('doBefore', 'a task cannot be done before itself', 'leave it out');
}

function checkUnitFields(reader: OptionReader, rule: ServiceRule): void {
  if (rule.positions?.length === 0) {
    reader.refuse(
      'positions',
      'an empty list applies to nothing',
      'name at least one position, or leave the field out',
    );
  }
  if (rule.scope === 'unit') return;
  for (const name of ['positions', 'unitAgeMonths', 'prechargeLimit']) {
    if (reader.has(name))
      reader.refuse(name, `${name} belongs to a rule of scope unit`, 'set scope to unit, or leave it out');
  }
  if (rule.appliesTo.unitTypes !== null) {
    reader.refuse(
      'appliesTo/unitTypes',
      'unitTypes belongs to a rule of scope unit',
      'set scope to unit, or leave it out',
    );
  }
}

function checkSeries(reader: OptionReader, rule: ServiceRule): void {
  if (rule.cadence !== 'fixed') return;
  for (const name of ['unitAgeMonths', 'prechargeLimit']) {
    if (reader.has(name))
      reader.refuse(name, `a fixed cadence has no ${name}`, 'use the cadence from-completion');
  }
  if (!hasLimit(rule.every))
    reader.refuse(
      'cadence',
      'a fixed cadence needs an interval',
      'give everyMonths, everyDays, everyKm or everyEngineHours',
    );
  const { every, first } = rule;
  if (every.km !== null && every.km < FIXED_MIN_KM) {
    reader.refuse(
      'everyKm',
      `${every.km} km is too short for a fixed cadence`,
      `give at least ${FIXED_MIN_KM}`,
    );
  }
  if (every.engineHours !== null && every.engineHours < FIXED_MIN_HOURS) {
    reader.refuse(
      'everyEngineHours',
      `${every.engineHours} h is too short for a fixed cadence`,
      `give at least ${FIXED_MIN_HOURS}`,
    );
  }
  const named = (interval: Interval): string =>
    [interval.months ?? interval.days, interval.km, interval.engineHours].map((each) => each !== null).join();
  if (first !== null && named({ ...every, ...withoutNulls(first) }) !== named(every)) {
    reader.refuse(
      'first',
      'the first interval has a limit that the series has not',
      'give every limit of first to the rule too',
    );
  }
}

function withoutNulls(interval: Interval): Partial<Interval> {
  return Object.fromEntries(Object.entries(interval).filter(([, value]) => value !== null));
}

/** Whether an interval has any limit at all. */
export function hasLimit(interval: Interval): boolean {
  return [interval.months, interval.days, interval.km, interval.engineHours].some((each) => each !== null);
}
