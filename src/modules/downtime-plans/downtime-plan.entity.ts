import { Check, Column, Entity, ForeignKey, Unique } from 'typeorm';
import { TimestampedRecord } from '../../platform/database/tenant-record';
import type { PlanOutcome, PlanStanding } from './plan-outcome';
import type { PlanAssumption, PlanWishes } from './plan-wishes';

export const planStates = [
  'queued',
  'running',
  'ready',
  'accepting',
  'accepted',
  'impossible',
  'failed',
] as const;
export type PlanState = (typeof planStates)[number];

export const planEfforts = ['quick', 'normal', 'thorough'] as const;
export type PlanEffort = (typeof planEfforts)[number];

/** Off-road days of the vehicles of some depots over a stretch of days: a draft until it is accepted. */
@Entity('downtime_plans')
@Unique('downtime_plans_fleet_key', ['organisationId', 'fleetId', 'id'])
@Check('downtime_plans_days_check', 'until_on > from_on AND until_on <= from_on + 366')
@Check('downtime_plans_depots_check', 'cardinality(depot_ids) > 0')
@Check('downtime_plans_effort_check', `effort IN ('quick', 'normal', 'thorough')`)
@Check(
  'downtime_plans_state_check',
  `state IN ('queued', 'running', 'ready', 'accepting', 'accepted', 'impossible', 'failed')`,
)
@ForeignKey('Fleet', ['organisationId', 'fleetId'], ['organisationId', 'id'], {
  name: 'downtime_plans_fleet_fkey',
})
@ForeignKey('DowntimePlan', ['organisationId', 'fleetId', 'basedOnId'], ['organisationId', 'fleetId', 'id'], {
  name: 'downtime_plans_based_on_fkey',
})
export class DowntimePlan extends TimestampedRecord {
  @Column('uuid')
  fleetId!: string;

  @Column('uuid', { array: true })
  depotIds!: string[];

  @Column('text')
  name!: string;

  @Column('date')
  fromOn!: string;

  /** the first day after it */
  @Column('date')
  untilOn!: string;

  @Column('integer')
  seed!: number;

  @Column('text')
  effort!: PlanEffort;

  @Column('jsonb')
  wishes!: PlanWishes;

  @Column('jsonb')
  assumptions!: PlanAssumption[];

  /** the plan that this one was made from: planned again, or as if something were otherwise */
  @Column('uuid', { nullable: true })
  basedOnId!: string | null;

  @Column('text')
  state!: PlanState;

  @Column('boolean', { default: false })
  stopRequested!: boolean;

  @Column('jsonb', { nullable: true })
  progress!: PlanStanding | null;

  @Column('jsonb', { nullable: true })
  outcome!: PlanOutcome | null;

  @Column('text', { nullable: true })
  failure!: string | null;

  /** the key on whose behalf it is made; null for the system itself */
  @Column('uuid', { nullable: true })
  actorId!: string | null;

  @Column('text')
  createdBy!: string;

  @Column('timestamptz', { nullable: true })
  endedAt!: Date | null;
}
