import { CalendarDate } from '../shared/calendar-date';

/** What a record may say of the pump. A split pump has two outlets, one section of it feeds the steering. */
export const PUMP_KINDS = ['single-outlet', 'split', 'unverified'] as const;
/** What a record may say of a part that a vehicle has or has not. */
export const FITTED_ANSWERS = ['fitted', 'not-fitted', 'unverified'] as const;
/** Where the steering takes its pressure from; `other` is steering of a different kind. */
export const STEERING_SUPPLIES = ['shared-supply', 'own-section', 'other', 'unverified'] as const;
/** What regulates the steering pressure. */
export const STEERING_REGULATORS = ['integral', 'remote-adjustable', 'other', 'unverified'] as const;
/** Fluid kinds that the cautions know: `mineral` is fluid to ISO 7308, `glycol` to ISO 4925. */
export const FLUID_KINDS = ['mineral', 'glycol', 'other'] as const;

export type PumpKind = (typeof PUMP_KINDS)[number];
export type FittedAnswer = (typeof FITTED_ANSWERS)[number];
export type SteeringSupply = (typeof STEERING_SUPPLIES)[number];
export type SteeringRegulator = (typeof STEERING_REGULATORS)[number];
export type FluidKind = (typeof FLUID_KINDS)[number];

/** The variant facts of a vehicle's hydraulic system: everything that other conclusions hang on. */
export interface VariantFacts {
  pumpKind: PumpKind;
  antiSinkValves: FittedAnswer;
  rearBrakeAccumulator: FittedAnswer;
  steeringSupply: SteeringSupply;
  steeringRegulator: SteeringRegulator;
}

/** A vehicle's hydraulic system as somebody recorded it. Nothing in it is derived. */
export interface HydraulicLayout extends VariantFacts {
  /** A code of `FLUID_KINDS` (or an operator's own code); null is unverified. */
  fluid: string | null;
  /** Fluid that the reservoir holds; null is unverified. */
  reservoirLitres: number | null;
}

export const VARIANT_FACTS = [
  'pumpKind',
  'antiSinkValves',
  'rearBrakeAccumulator',
  'steeringSupply',
  'steeringRegulator',
] as const satisfies readonly (keyof VariantFacts)[];

/** The values that a record may give for each variant fact, `unverified` apart. */
export const RECORDABLE_VALUES: Record<(typeof VARIANT_FACTS)[number], readonly string[]> = {
  pumpKind: PUMP_KINDS.filter((value) => value !== 'unverified'),
  antiSinkValves: FITTED_ANSWERS.filter((value) => value !== 'unverified'),
  rearBrakeAccumulator: FITTED_ANSWERS.filter((value) => value !== 'unverified'),
  steeringSupply: STEERING_SUPPLIES.filter((value) => value !== 'unverified'),
  steeringRegulator: STEERING_REGULATORS.filter((value) => value !== 'unverified'),
};

export const LAYOUT_FACTS = [
  ...VARIANT_FACTS,
  'fluid',
  'reservoirLitres',
] as const satisfies readonly (keyof HydraulicLayout)[];

export type VariantFact = (typeof VARIANT_FACTS)[number];
export type LayoutFact = (typeof LAYOUT_FACTS)[number];

/** Who saw a fact, on which day and how; what makes a recorded fact trustworthy. */
export interface LayoutEvidence {
  seenBy: string;
  seenOn: CalendarDate;
  how: string;
}

export type LayoutEvidenceByFact = Partial<Record<LayoutFact, LayoutEvidence>>;

/** A layout of which nobody has looked at anything yet. */
export const UNVERIFIED_LAYOUT: Readonly<HydraulicLayout> = {
  pumpKind: 'unverified',
  antiSinkValves: 'unverified',
  rearBrakeAccumulator: 'unverified',
  steeringSupply: 'unverified',
  steeringRegulator: 'unverified',
  fluid: null,
  reservoirLitres: null,
};

/** True where somebody has recorded a value for the fact. */
export function isRecorded(layout: HydraulicLayout, fact: LayoutFact): boolean {
  return layout[fact] !== null && layout[fact] !== 'unverified';
}
