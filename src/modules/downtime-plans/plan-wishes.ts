/** A visit that stays as it is, wherever the plan would rather have it. */
export interface LockedVisit {
  vehicleId: string;
  workshopId: string;
  /** the day of arrival, at the workshop */
  on: string;
  dueItemKeys: string[];
}

/** A day on which a vehicle stays on the road, in this plan. */
export interface ForbiddenDay {
  vehicleId: string;
  on: string;
}

/** What the planner decided by hand. */
export interface PlanWishes {
  locked: LockedVisit[];
  forbidden: ForbiddenDay[];
}

/** Something that is not so, and is planned as if it were. */
export type PlanAssumption =
  | { kind: 'more-technicians'; workshopId: string; count: number; competences: string[] }
  | { kind: 'bay-closed'; workshopId: string; bayId: string; fromOn: string; untilOn: string }
  | { kind: 'roster-need'; depotId: string; change: number }
  | { kind: 'later-limit'; task: string; days: number };
