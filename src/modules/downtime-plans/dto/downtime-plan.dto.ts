import { ApiProperty } from '@nestjs/swagger';
import {
  planEfforts,
  planStates,
  type DowntimePlan,
  type PlanEffort,
  type PlanState,
} from '../downtime-plan.entity';
import type { PlanFigures, PlanOutcome, PlanStanding } from '../plan-outcome';
import { assumptionKinds } from './write-downtime-plan.dto';

/** What a plan comes to; money in whole hundredths of the currency. */
export class PlanFiguresDto implements PlanFigures {
  visits!: number;
  /** Days on which one vehicle is off the road. */
  offRoadDays!: number;
  itemsDone!: number;
  itemsLeftOut!: number;
  /** Days before the day they are due, over all items. */
  daysEarly!: number;
  daysLate!: number;
  /** Done after their late limit, or left out though that lies within the plan. */
  itemsTooLate!: number;
  /** The visits themselves: the vehicle standing, and the way there. */
  visitCostMinor!: number;
  /** Life given away by work before its time. */
  earlyCostMinor!: number;
  /** Risk of work after the day it was due. */
  lateCostMinor!: number;
  /** Of each item left out, the stated amount beyond what its dearest day would cost. */
  leftOutCostMinor!: number;
  costMinor!: number;
}

/** Facts that rule something out together; none of them can be spared. */
export class PlanConflictDto {
  vehicleId!: string;
  registrationMark!: string;
  /** What cannot be done. */
  wanted!: string;
  /** The fewest that rule it out, a sentence each. */
  facts!: string[];
}

export class PlanOutcomeDto {
  /** ISO 4217 */
  currency!: string;
  plan!: PlanFiguresDto;
  /** Each item by itself: on the day it is due, else on the next free day, at the nearest workshop. */
  naive!: PlanFiguresDto;
  /** What is booked already, and nothing more. */
  booked!: PlanFiguresDto;
  /** No plan within the limits costs less. */
  boundMinor!: number;
  /** The best possible plan is at most this much cheaper, in per cent of the cost. */
  gapPercent!: number;
  /** Somebody stopped the search. */
  stoppedEarly!: boolean;
  /** What cannot be done in time whatever is planned, with the fewest facts that rule it out. */
  conflicts!: PlanConflictDto[];
}

export class PlanLockDto {
  vehicleId!: string;
  workshopId!: string;
  @ApiProperty({ format: 'date' })
  on!: string;
  dueItemKeys!: string[];
}

export class PlanForbiddenDayDto {
  vehicleId!: string;
  @ApiProperty({ format: 'date' })
  on!: string;
}

export class StoredWishesDto {
  locked!: PlanLockDto[];
  forbidden!: PlanForbiddenDayDto[];
}

export class StoredAssumptionDto {
  @ApiProperty({ enum: assumptionKinds })
  kind!: (typeof assumptionKinds)[number];
  workshopId?: string;
  count?: number;
  competences?: string[];
  bayId?: string;
  @ApiProperty({ format: 'date', required: false })
  fromOn?: string;
  @ApiProperty({ format: 'date', required: false })
  untilOn?: string;
  depotId?: string;
  change?: number;
  task?: string;
  days?: number;
}

/** Off-road days of vehicles over a stretch of days: a draft until its visits are booked. */
export class DowntimePlanDto {
  id!: string;
  name!: string;
  fleetId!: string;
  depotIds!: string[];
  @ApiProperty({ format: 'date' })
  fromOn!: string;
  /** First day after the plan. */
  @ApiProperty({ format: 'date' })
  untilOn!: string;
  @ApiProperty({ enum: planEfforts })
  effort!: PlanEffort;
  seed!: number;
  /** The plan that this one was made from. */
  @ApiProperty({ nullable: true, type: String })
  basedOnId!: string | null;
  wishes!: StoredWishesDto;
  assumptions!: StoredAssumptionDto[];
  /** `impossible`: what is locked cannot be as it is; `outcome.conflicts` tells why. */
  @ApiProperty({ enum: planStates })
  state!: PlanState;
  /** Null until it is ready. */
  @ApiProperty({ nullable: true, type: PlanOutcomeDto })
  outcome!: PlanOutcomeDto | null;
  /** Why it could not be made, or its acceptance was broken off; else null. */
  @ApiProperty({ nullable: true, type: String })
  failure!: string | null;
  createdBy!: string;
  @ApiProperty({ format: 'date-time' })
  createdAt!: string;
  @ApiProperty({ format: 'date-time', nullable: true, type: String })
  endedAt!: string | null;
  revision!: number;
}

export class DowntimePlanPageDto {
  items!: DowntimePlanDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

const phases = ['reading', 'first-plan', 'bound', 'search', 'tighten-bound', 'explaining'] as const;

/** How far the work on a plan is. */
export class PlanProgressDto {
  @ApiProperty({ enum: planStates })
  state!: PlanState;
  /** Null before it is begun. */
  @ApiProperty({ enum: phases, nullable: true, type: String })
  phase!: (typeof phases)[number] | null;
  /** 0 to 1. */
  doneShare!: number;
  /** Cost of the best plan so far, whole hundredths of the currency. */
  @ApiProperty({ nullable: true, type: Number })
  costMinor!: number | null;
  @ApiProperty({ nullable: true, type: Number })
  boundMinor!: number | null;
  @ApiProperty({ nullable: true, type: Number })
  gapPercent!: number | null;
  stopRequested!: boolean;
}

/** Two plans side by side: `this`, and what the other has more (or less, below 0). */
export class PlanComparisonDto {
  planId!: string;
  withId!: string;
  currency!: string;
  plan!: PlanFiguresDto;
  other!: PlanFiguresDto;
  /** `plan` less `other`. */
  difference!: PlanFiguresDto;
}

export function toDowntimePlanDto(plan: DowntimePlan): DowntimePlanDto {
  const { id, name, fleetId, depotIds, fromOn, untilOn, effort, seed, basedOnId, wishes, assumptions } = plan;
  return {
    id,
    name,
    fleetId,
    depotIds,
    fromOn,
    untilOn,
    effort,
    seed,
    basedOnId,
    wishes,
    assumptions,
    state: plan.state,
    outcome: plan.outcome === null ? null : toOutcomeDto(plan.outcome),
    failure: plan.failure,
    createdBy: plan.createdBy,
    createdAt: plan.createdAt.toISOString(),
    endedAt: plan.endedAt?.toISOString() ?? null,
    revision: plan.revision,
  };
}

function toOutcomeDto(outcome: PlanOutcome): PlanOutcomeDto {
  const { currency, plan, naive, booked, boundMinor, gapPercent, stoppedEarly, conflicts } = outcome;
  return { currency, plan, naive, booked, boundMinor, gapPercent, stoppedEarly, conflicts };
}

export function toPlanProgressDto({ state, progress, stopRequested }: DowntimePlan): PlanProgressDto {
  const standing: Omit<PlanStanding, 'phase'> & { phase: PlanStanding['phase'] | null } = progress ?? {
    phase: null,
    doneShare: 0,
    costMinor: null,
    boundMinor: null,
    gapPercent: null,
  };
  const isOver = state !== 'queued' && state !== 'running';
  return { state, ...standing, ...(isOver ? { doneShare: 1 } : {}), stopRequested };
}
