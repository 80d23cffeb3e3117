import { appliesTo } from './applies-to';
import { satisfyingTasksOf } from './baseline';
import { owedByCampaign } from './campaign';
import { DueInput, FittedUnit } from './due-input';
import { DueItem, Mark, MissingFact } from './due-item';
import { owedByFollowUp } from './follow-up';
import { dateOrNull } from './limit';
import { DueContext, Owed } from './owed';
import { Reasoning } from './reasoning';
import { owedByRecurringRule } from './recurring';
import { ServiceRule } from './rule';
import { positionSubject, Subject, unitSubject, vehicleSubject } from './subject';

/**
 * Everything that one vehicle owes: one item for each rule that applies (for a unit rule, one for each
 * position), with its date, its window and the reasoning behind them. Nothing here depends on today; see
 * `stateOn`. Depends on the records alone: the order of any list makes no difference.
 *
 * Where it is not known whether a rule applies, the item is undetermined and names what has to be looked at.
 *
 * @param input rules from `normaliseProgramme`, tracks as `meterTrack` gives them, the effective layout
 * @returns items ordered by key
 */
export function dueItemsOf(input: DueInput): DueItem[] {
  const vehicle = vehicleSubject(input);
  const context: DueContext = {
    input,
    satisfying: satisfyingTasksOf(input.programme.rules),
    odometer: vehicle.km,
  };
  const positions = input.programme.rules.some((rule) => rule.scope === 'unit') ? positionsOf(input) : [];
  const items: DueItem[] = [];
  for (const rule of input.programme.rules) {
    if (rule.scope === 'vehicle') {
      const item = itemFor(rule, vehicle, true, context);
      if (item) items.push(item);
      continue;
    }
    for (const { subject, present } of positions) {
      if (rule.positions !== null && !rule.positions.includes(subject.position as string)) continue;
      const item = itemFor(rule, subject, present, context);
      if (item) items.push(item);
    }
  }
  return items.sort((a, b) => (a.key < b.key ? -1 : a.key > b.key ? 1 : 0));
}

interface PositionOnVehicle {
  subject: Subject;
  /** False where nobody has looked whether there is a unit at all. */
  present: boolean;
}

function positionsOf(input: DueInput): PositionOnVehicle[] {
  const fitted = new Map<string, FittedUnit>();
  for (const unit of input.units) {
    const other = fitted.get(unit.position);
    if (!other || unit.fittedOn > other.fittedOn) fitted.set(unit.position, unit);
  }
  const found: PositionOnVehicle[] = [];
  for (const unit of fitted.values()) found.push({ subject: unitSubject(input, unit), present: true });
  for (const { position, unit } of input.positions) {
    if (unit === 'not-expected' || fitted.has(position)) continue;
    found.push({ subject: positionSubject(input, position), present: unit === 'expected' });
  }
  return found;
}

function itemFor(rule: ServiceRule, subject: Subject, present: boolean, context: DueContext): DueItem | null {
  const { input } = context;
  const applies = appliesTo(rule.appliesTo, {
    layout: input.layout,
    dutyClass: input.dutyClass,
    inServiceOn: input.inServiceOn,
    position: subject.position,
    unitType: subject.unit?.typeCode ?? null,
  });
  if (applies.answer === 'no') return null;
  const owed = owedBy(rule, subject, context);
  if (owed === null) return null;
  const unknown: MissingFact[] = applies.answer === 'unknown' ? [...applies.missing] : [];
  if (!present && unknown.length === 0) unknown.push(missingPosition(subject));
  return dueItem(rule, subject, owed, unknown);
}

function owedBy(rule: ServiceRule, subject: Subject, context: DueContext): Owed | null {
  if (rule.campaign !== null) return owedByCampaign(rule, rule.campaign, subject, context);
  if (rule.after !== null) return owedByFollowUp(rule, rule.after, subject, context);
  return owedByRecurringRule(rule, subject, context);
}

// `unknown` facts: it is not known whether the rule applies, so nothing that was worked out may stand
function dueItem(rule: ServiceRule, subject: Subject, owed: Owed, unknown: MissingFact[]): DueItem {
  const decided = unknown.length === 0;
  const window = decided ? owed.window : null;
  const limits = decided ? owed.limits : [];
  const missing = decided ? limits.flatMap((limit) => limit.missing) : unknown;
  const dueOn = window && dateOrNull(window.due);
  const limitTotal = (kind: 'distance' | 'hours'): number | null =>
    roundedTotal(limits.find((limit) => limit.kind === kind)?.dueTotal ?? null);
  return {
    key: subject.position === null ? rule.code : `${rule.code}@${subject.position}`,
    cycle: cycleOf(owed),
    ruleCode: rule.code,
    task: rule.task,
    title: rule.title,
    kind: rule.kind,
    position: subject.position,
    unitId: subject.unit?.unitId ?? null,
    safetyCritical: rule.safetyCritical,
    driver: window?.driver ?? null,
    earlyOn: window && dueOn !== null ? dateOrNull(window.early) : null,
    dueOn,
    lateOn: window && dueOn !== null ? dateOrNull(window.late) : null,
    beyondHorizon: window !== null && dueOn === null,
    dueOdometerKm: limitTotal('distance'),
    dueEngineHours: limitTotal('hours'),
    earliestOn: window && dateOrNull(window.earliest),
    latestOn: window && dateOrNull(window.latest),
    partial: window?.partial ?? false,
    missing: uniqueMissing(missing),
    marks: decided ? marksOf(subject, owed) : [],
    doBefore: rule.doBefore,
    satisfies: rule.satisfies,
    labourMinutes: rule.labourMinutes,
    competences: rule.competences,
    bayKind: rule.bayKind,
    consumables: rule.consumables,
    reasoning: reasoningOf(rule, owed, decided),
  };
}

function reasoningOf(rule: ServiceRule, owed: Owed, decided: boolean): Reasoning {
  const { severity, limits } = owed;
  return {
    baseline: owed.baseline,
    severity: severity && { dutyClass: severity.dutyClass, factor: severity.factor },
    tolerance: rule.tolerance,
    whichever: rule.whichever,
    limits: decided ? limits.map((limit) => limit.reason) : [],
    occurrence: owed.occurrence,
    appliesFromOn: owed.appliesFromOn,
  };
}

function cycleOf({ baseline, occurrence }: Owed): string {
  if (occurrence !== null) return `occurrence-${occurrence.number}`;
  switch (baseline.kind) {
    case 'completion':
    case 'trigger':
      return baseline.completionId;
    case 'in-service':
    case 'first-fitting':
    case 'none':
      return 'first';
  }
}

function marksOf(subject: Subject, owed: Owed): Mark[] {
  const marks = new Set<Mark>(subject.marks);
  for (const mark of owed.marks) marks.add(mark);
  for (const limit of owed.limits) for (const mark of limit.marks) marks.add(mark);
  if (owed.severity?.known === false) marks.add('duty-class-not-recorded');
  return [...marks].sort();
}

function uniqueMissing(missing: readonly MissingFact[]): MissingFact[] {
  if (missing.length < 2) return [...missing];
  return [...new Map(missing.map((each) => [`${each.code} ${each.sentence}`, each])).values()];
}

function missingPosition(subject: Subject): MissingFact {
  const position = subject.position as string;
  return {
    code: `position.${position}`,
    sentence: `Look at the vehicle and record whether there is a gas unit at ${position}.`,
  };
}

// metres are finer than any odometer; the rest is noise of the arithmetic
function roundedTotal(total: number | null): number | null {
  return total === null ? null : Math.round(total * 1000) / 1000;
}
