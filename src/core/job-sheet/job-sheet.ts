import { Consumable } from '../due/rule';
import { TestLimits } from '../due/test-limits';
import { Caution } from '../hydraulics/cautions';
import { LayoutFact } from '../hydraulics/hydraulic-layout';
import { ManualNote } from '../hydraulics/manual-notes';
import { SafetyFinding } from '../hydraulics/safety-findings';

/** What is done in a step, and so what is entered for it. */
export const STEP_KINDS = [
  'odometer-reading',
  'inspection',
  'precharge-test',
  'charge',
  'system-test',
  'task',
] as const;

export type StepKind = (typeof STEP_KINDS)[number];

/** Why a step is on the sheet. */
export const STEP_REASONS = ['always', 'inspection', 'due', 'extra-work', 'release-check'] as const;

export type StepReason = (typeof STEP_REASONS)[number];

/** A gas unit where it sits. */
export interface SheetUnit {
  unitId: string;
  serialNumber: string;
  typeName: string;
  gasVolumeCm3: number;
  nominal20BarGauge: number;
  /** Precharge at 20 °C below which it has to be recharged. */
  limit20BarGauge: number;
}

export interface SheetStep {
  /** Stable and unique in the sheet: results are entered under it. */
  key: string;
  kind: StepKind;
  why: StepReason;
  title: string;
  task: string | null;
  position: string | null;
  /** Null where the step is not about a unit, or none is recorded there. */
  unit: SheetUnit | null;
  /** For an inspection. */
  fact: LayoutFact | null;
  /** With `cycle` the piece of work that it settles. */
  dueItemKey: string | null;
  cycle: string | null;
  /** How to do it, what to expect, and the limits, in words. */
  instructions: string[];
  /** What a system test is judged by; null for every other step. */
  limits: TestLimits | null;
  competences: readonly string[];
  minutes: number;
  consumables: readonly Consumable[];
  /** A failure holds the vehicle. */
  safetyCritical: boolean;
  /** The vehicle is held unless it is passed, and it comes after the work. */
  beforeRelease: boolean;
  /** The sheet is not complete without a result, or a reason for having none. */
  required: boolean;
}

/** Work that was booked and is no step. */
export interface LeftOutWork {
  title: string;
  task: string | null;
  because: string;
}

/** What a technician needs to know of a job. Plain data. */
export interface JobSheet {
  steps: SheetStep[];
  leftOut: LeftOutWork[];
  cautions: Caution[];
  manualNotes: ManualNote[];
  safetyFindings: SafetyFinding[];
  /** What the times of the regulator are reckoned with; null where none is recorded. */
  mainAccumulator: SheetUnit | null;
  /** Whoever signs off has them all. */
  signOffCompetences: string[];
  consumables: Consumable[];
  minutes: number;
}
