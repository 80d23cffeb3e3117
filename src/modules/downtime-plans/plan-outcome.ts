import type { DepotAvailability, WorkshopLoad } from './plan-views';

/** How far the work on a plan is. */
export interface PlanStanding {
  phase: 'reading' | 'first-plan' | 'bound' | 'search' | 'tighten-bound' | 'explaining';
  /** 0 to 1 */
  doneShare: number;
  costMinor: number | null;
  /** no plan costs less */
  boundMinor: number | null;
  gapPercent: number | null;
}

/** What a plan comes to, in numbers that can be held against another one. */
export interface PlanFigures {
  visits: number;
  /** days on which one vehicle is off the road */
  offRoadDays: number;
  itemsDone: number;
  itemsLeftOut: number;
  /** before the day they are due, over all items */
  daysEarly: number;
  daysLate: number;
  /** items past the last day on which they may be done, or left out though that day lies within the plan */
  itemsTooLate: number;
  visitCostMinor: number;
  /** life given away by work before its time */
  earlyCostMinor: number;
  lateCostMinor: number;
  leftOutCostMinor: number;
  costMinor: number;
}

/** Facts that cannot all hold if something is to be done: the fewest that rule it out. */
export interface PlanConflict {
  vehicleId: string;
  registrationMark: string;
  /** what cannot be done */
  wanted: string;
  facts: string[];
}

export interface PlanOutcome {
  currency: string;
  plan: PlanFigures;
  /** each item on its due date, else on the next free day, at the nearest workshop */
  naive: PlanFigures;
  /** what is booked already and nothing else */
  booked: PlanFigures;
  boundMinor: number;
  gapPercent: number;
  stoppedEarly: boolean;
  conflicts: PlanConflict[];
  depots: DepotAvailability[];
  workshops: WorkshopLoad[];
}

export interface PlannedItemDetails {
  cycle: string;
  task: string;
  title: string;
  position: string | null;
  safetyCritical: boolean;
  minutes: number;
  dueOn: string;
  earliestOn: string;
  latestOn: string;
  plannedOn: string | null;
  /** in words */
  because: string;
  /** what would bring it nearer to its due date, and what the vehicle's plan would cost less */
  relaxations: { what: string; savesMinor: number; thenOn: string | null }[];
}
