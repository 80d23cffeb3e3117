import { Consumable } from '../due/rule';
import { TestLimits } from '../due/test-limits';
import { Caution, CautionContext, cautionsFor, cautionsInContexts } from '../hydraulics/cautions';
import { HydraulicLayout, LayoutEvidenceByFact } from '../hydraulics/hydraulic-layout';
import { inspectionTasks } from '../hydraulics/inspection-tasks';
import { effectiveLayout } from '../hydraulics/layout-conclusions';
import { manualNotes } from '../hydraulics/manual-notes';
import { safetyFindings } from '../hydraulics/safety-findings';
import { roleOfPosition } from '../hydraulics/unit-positions';
import { sumConsumables } from '../visit/job-of';
import { expectations } from './expectations';
import { fitsLayout, isSystemTest } from './fits-layout';
import { JobSheet, LeftOutWork, SheetStep, SheetUnit, StepKind } from './job-sheet';
import { workInOrder } from './work-in-order';

/** A piece of booked work: a due item that still stands, or what somebody asked for beside. */
export interface SheetWork {
  dueItemKey: string | null;
  cycle: string | null;
  task: string | null;
  title: string;
  position: string | null;
  minutes: number;
  competences: readonly string[];
  consumables: readonly Consumable[];
  safetyCritical: boolean;
  /** Tasks that have to be done before it. */
  doBefore: readonly string[];
}

export interface JobSheetInput {
  work: readonly SheetWork[];
  /** As recorded. */
  layout: HydraulicLayout;
  evidence: LayoutEvidenceByFact;
  /** Gas units by position. */
  units: ReadonlyMap<string, SheetUnit>;
  /** What tests of a task are judged by. */
  limitsOf: (task: string) => TestLimits;
  /**
   * A gas unit was exchanged in the course of the job. That opens the circuit, and the rear brakes are fed from the rear
   * suspension: it asks for the checks before release whatever was booked.
   */
  unitExchanged: boolean;
}

/** After work on the pressure supply, the brakes or the anti-sink valves. Common practice, no published source. */
export const RELEASE_CHECKS = ['low-pressure-warning-test', 'brake-reserve-test'] as const;

const RELEASE_CHECK_TITLES: Readonly<Record<(typeof RELEASE_CHECKS)[number], string>> = {
  'low-pressure-warning-test': 'Check the low-pressure warning before release',
  'brake-reserve-test': 'Check the brake reserve before release',
};

// Told by the competences it asks for, and by the task, as a rule may name none. Common practice, no published source.
const COMPETENCES_OF_THE_SYSTEM = ['hydraulics', 'brakes', 'pressure-equipment'];
const TASKS_ON_THE_SYSTEM = ['fluid-change', 'filter-clean', 'pressure-supply-work'];

/**
 * Makes the sheet of a job from what is booked and what is recorded of the vehicle: the odometer first, then what has
 * to be looked at, then the work in an order that does first what has to come first, then the checks that any work on
 * the pressure supply, the brakes or the anti-sink valves asks for before release. A check that was booked anyway is
 * one of these as well: made before the work it would say nothing of the vehicle that is released.
 *
 * Only what belongs to this layout: a test of a part that the vehicle does not have is left out, with the reason; one
 * of a part of which nobody knows whether it is there stands under the condition that the inspection finds it.
 * Source of the rules: common practice, no published source.
 *
 * @throws InputError for work of which one task would have to be done before itself
 */
export function jobSheetOf(input: JobSheetInput): JobSheet {
  const { layout } = effectiveLayout(input.layout);
  const leftOut: LeftOutWork[] = [];
  const work = workInOrder(input.work).flatMap((each): SheetStep[] => {
    const unit = each.position === null ? null : (input.units.get(each.position) ?? null);
    const { leftOutBecause, condition } = fitsLayout(each, layout, unit !== null);
    if (leftOutBecause === null) return [stepOf(each, unit, condition, input)];
    leftOut.push({ title: each.title, task: each.task, because: leftOutBecause });
    return [];
  });
  const steps = unique([
    ODOMETER,
    ...inspectionSteps(input),
    ...(input.unitExchanged || work.some(asksForReleaseChecks) ? withReleaseChecks(work, input) : work),
  ]);
  return {
    steps,
    leftOut,
    cautions: cautionsOf(layout, steps),
    manualNotes: manualNotes(layout),
    safetyFindings: safetyFindings(input.layout),
    mainAccumulator: input.units.get('main-accumulator') ?? null,
    signOffCompetences: signOffCompetences(steps),
    consumables: sumConsumables(steps.flatMap(({ consumables }) => consumables)),
    minutes: steps.reduce((sum, { minutes }) => sum + minutes, 0),
  };
}

const NOTHING = {
  task: null,
  position: null,
  unit: null,
  fact: null,
  dueItemKey: null,
  cycle: null,
  limits: null,
} as const;

const ODOMETER: SheetStep = {
  ...NOTHING,
  key: 'odometer-reading',
  kind: 'odometer-reading',
  why: 'always',
  title: 'Read the odometer',
  instructions: ['Enter what the instrument shows.'],
  competences: [],
  minutes: 0,
  consumables: [],
  safetyCritical: false,
  beforeRelease: false,
  required: true,
};

function inspectionSteps({ layout, evidence }: JobSheetInput): SheetStep[] {
  return inspectionTasks(layout, evidence)
    .filter(({ why }) => why !== 'no-evidence')
    .map(({ fact, lookAt, how, careful, urgency }) => ({
      ...NOTHING,
      key: `inspection@${fact}`,
      kind: 'inspection',
      why: 'inspection',
      title: `Look at ${lookAt}`,
      fact,
      instructions: [capital(`${how}.`), capital(`${careful}.`)],
      competences: [],
      minutes: 0,
      consumables: [],
      safetyCritical: false,
      beforeRelease: false,
      required: urgency === 'before-work',
    }));
}

function kindOf(task: string | null): StepKind {
  if (task === 'precharge-test') return 'precharge-test';
  if (task === 'recharge') return 'charge';
  return task !== null && isSystemTest(task) ? 'system-test' : 'task';
}

function stepOf(
  work: SheetWork,
  unit: SheetUnit | null,
  condition: string | null,
  { limitsOf }: JobSheetInput,
): SheetStep {
  const { dueItemKey, cycle, task, title, position, minutes, competences, consumables } = work;
  const kind = kindOf(task);
  return {
    key: `${task ?? `extra: ${title}`}${position === null ? '' : `@${position}`}`,
    kind,
    why: dueItemKey === null ? 'extra-work' : 'due',
    title,
    task,
    position,
    unit,
    fact: null,
    dueItemKey,
    cycle,
    instructions: [
      ...(condition === null ? [] : [condition]),
      ...(position !== null && unit === null
        ? [`No gas unit is recorded at ${position}: record which one is fitted.`]
        : []),
      ...expectations(kind, task, unit, task === null ? null : limitsOf(task)),
    ],
    limits: kind === 'system-test' && task !== null ? limitsOf(task) : null,
    competences,
    minutes,
    consumables,
    safetyCritical: work.safetyCritical,
    beforeRelease: false,
    required: true,
  };
}

// Whoever opens the circuit, or works on what feeds the brakes, makes the checks necessary. Common practice, no published
// source.
function asksForReleaseChecks({ kind, task, position, competences, why }: SheetStep): boolean {
  if (why === 'always' || why === 'inspection' || kind === 'system-test') return false;
  if (kind === 'charge') return true;
  const role = position === null ? null : roleOfPosition(position);
  if (kind === 'precharge-test') return role === 'main-accumulator' || role === 'rear-brake-accumulator';
  return (
    (task !== null && TASKS_ON_THE_SYSTEM.includes(task)) ||
    competences.some((code) => COMPETENCES_OF_THE_SYSTEM.includes(code))
  );
}

/** The work, then the checks before release: those that were booked, and those that nobody booked. */
function withReleaseChecks(work: readonly SheetStep[], { limitsOf }: JobSheetInput): SheetStep[] {
  const isCheck = ({ task }: SheetStep): boolean => RELEASE_CHECKS.some((check) => check === task);
  const checks = RELEASE_CHECKS.flatMap((task): SheetStep[] => {
    const booked = work.filter((step) => step.task === task);
    if (booked.length > 0) {
      return booked.map((step) => ({ ...step, safetyCritical: true, beforeRelease: true }));
    }
    return [
      {
        ...NOTHING,
        key: task,
        kind: 'system-test',
        why: 'release-check',
        title: RELEASE_CHECK_TITLES[task],
        task,
        instructions: expectations('system-test', task, null, limitsOf(task)),
        limits: limitsOf(task),
        competences: [],
        minutes: 0,
        consumables: [],
        safetyCritical: true,
        beforeRelease: true,
        required: true,
      },
    ];
  });
  return [...work.filter((step) => !isCheck(step)), ...checks];
}

function unique(steps: readonly SheetStep[]): SheetStep[] {
  const seen = new Map<string, number>();
  return steps.map((step) => {
    const times = (seen.get(step.key) ?? 0) + 1;
    seen.set(step.key, times);
    return times === 1 ? step : { ...step, key: `${step.key} (${times})` };
  });
}

function signOffCompetences(steps: readonly SheetStep[]): string[] {
  const critical = steps.filter(({ safetyCritical }) => safetyCritical);
  const asking = critical.some(({ competences }) => competences.length > 0) ? critical : steps;
  return [...new Set(asking.flatMap(({ competences }) => competences))].sort();
}

function cautionsOf(layout: HydraulicLayout, steps: readonly SheetStep[]): Caution[] {
  const contexts: CautionContext[] = ['any-work'];
  if (steps.some(({ kind }) => kind === 'charge')) contexts.push('unit-removal', 'unit-charging');
  else if (steps.some(({ kind }) => kind === 'precharge-test')) contexts.push('unit-removal');
  if (steps.some(({ beforeRelease }) => beforeRelease))
    contexts.push('open-circuit', 'fluid', 'brakes-supply-or-anti-sink');
  return cautionsInContexts(cautionsFor(layout), contexts);
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
