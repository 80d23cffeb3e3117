import { addMonths, CalendarDate, EpochDay, toEpochDay } from '../shared/calendar-date';
import { HydraulicLayout, VARIANT_FACTS } from '../hydraulics/hydraulic-layout';
import { MissingFact } from './due-item';
import { AppliesTo } from './rule';

/** What a rule's conditions are held against. */
export interface AppliesToFacts {
  layout: HydraulicLayout;
  dutyClass: string | null;
  inServiceOn: CalendarDate | null;
  position: string | null;
  /** Type of the unit; null for a vehicle, and where nobody recorded the unit. */
  unitType: string | null;
}

/** Three-valued: unknown is an answer, and says what has to be looked at. */
export type AppliesToAnswer =
  { answer: 'yes' } | { answer: 'no' } | { answer: 'unknown'; missing: MissingFact[] };

const YES: AppliesToAnswer = { answer: 'yes' };
const NO: AppliesToAnswer = { answer: 'no' };

const FACT_NAMES: Record<keyof HydraulicLayout, string> = {
  pumpKind: 'the kind of pump',
  antiSinkValves: 'whether anti-sink valves are fitted',
  rearBrakeAccumulator: 'whether a rear brake accumulator is fitted',
  steeringSupply: 'where the steering takes its pressure from',
  steeringRegulator: 'the kind of steering regulator',
  fluid: 'the fluid',
  reservoirLitres: 'what the reservoir holds',
};

/**
 * Whether a rule applies. `no` as soon as one condition is known to fail, even if others are unknown; `unknown`
 * if none fails and a fact that a condition asks for is not recorded; else `yes`. A condition on the vehicle's
 * age only has to be answerable here; `ageOutside` holds it against the due date.
 */
export function appliesTo(conditions: AppliesTo, facts: AppliesToFacts): AppliesToAnswer {
  const missing: MissingFact[] = [];
  for (const fact of VARIANT_FACTS) {
    const accepted: readonly string[] | undefined = conditions.layout[fact];
    if (accepted === undefined) continue;
    const value = facts.layout[fact];
    if (value === 'unverified') missing.push(missingLayoutFact(fact));
    else if (!accepted.includes(value)) return NO;
  }
  if (conditions.fluids !== null) {
    if (facts.layout.fluid === null) missing.push(missingLayoutFact('fluid'));
    else if (!conditions.fluids.includes(facts.layout.fluid)) return NO;
  }
  if (conditions.dutyClasses !== null) {
    if (facts.dutyClass === null)
      missing.push({ code: 'duty-class', sentence: "Record the vehicle's duty class." });
    else if (!conditions.dutyClasses.includes(facts.dutyClass)) return NO;
  }
  if (conditions.unitTypes !== null) {
    if (facts.unitType === null) {
      const sentence = `Record which gas unit is fitted at ${facts.position ?? 'the position'}.`;
      missing.push({ code: 'unit', sentence });
    } else if (!conditions.unitTypes.includes(facts.unitType)) return NO;
  }
  if (conditions.vehicleAgeMonths !== null && facts.inServiceOn === null) missing.push(missingInService());
  return missing.length === 0 ? YES : { answer: 'unknown', missing };
}

/** The first day (inclusive) and the last (exclusive) on which the vehicle has the age that a rule asks for. */
export interface AgeDays {
  from: EpochDay;
  until: EpochDay;
}

/** Days of the age that a rule asks for; without end on either side where the rule does not limit it. */
export function ageDaysOf(conditions: AppliesTo, inServiceOn: CalendarDate | null): AgeDays {
  const age = conditions.vehicleAgeMonths;
  if (age === null || inServiceOn === null) return { from: -Infinity, until: Infinity };
  return {
    from: age.from === null ? -Infinity : toEpochDay(addMonths(inServiceOn, age.from)),
    until: age.until === null ? Infinity : toEpochDay(addMonths(inServiceOn, age.until)),
  };
}

/** Whether the vehicle is too young or too old for the rule on the due day. A day beyond the horizon is `Infinity`. */
export function ageOutside(age: AgeDays, due: EpochDay): 'too-young' | 'too-old' | null {
  if (due < age.from) return 'too-young';
  return age.until !== Infinity && due >= age.until ? 'too-old' : null;
}

/** What to record where a vehicle has no in-service date. */
export function missingInService(): MissingFact {
  return { code: 'in-service-date', sentence: 'Record when the vehicle went into service.' };
}

function missingLayoutFact(fact: keyof HydraulicLayout): MissingFact {
  return { code: `layout.${fact}`, sentence: `Look at the vehicle and record ${FACT_NAMES[fact]}.` };
}
