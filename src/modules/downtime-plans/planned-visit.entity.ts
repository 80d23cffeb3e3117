import { Check, Column, Entity, ForeignKey, Index, Unique } from 'typeorm';
import { TenantRecord } from '../../platform/database/tenant-record';

export const acceptances = ['open', 'booked', 'refused'] as const;
export type Acceptance = (typeof acceptances)[number];

/** One visit of a plan. */
@Entity('planned_visits')
@Unique('planned_visits_vehicle_key', ['organisationId', 'planId', 'vehicleId', 'visitOn'])
@Unique('planned_visits_plan_key', ['organisationId', 'fleetId', 'vehicleId', 'planId', 'id'])
@Index('planned_visits_day_idx', ['organisationId', 'planId', 'visitOn', 'id'])
@Check('planned_visits_days_check', 'until_on >= visit_on')
@Check(
  'planned_visits_place_check',
  '(starts_at IS NULL) = (ends_at IS NULL) AND (starts_at IS NULL) = (bay_id IS NULL)',
)
@Check(
  'planned_visits_acceptance_check',
  `acceptance IN ('open', 'booked', 'refused') AND (acceptance = 'booked') = (booking_id IS NOT NULL)
    AND (acceptance = 'refused') = (refusal IS NOT NULL)`,
)
@ForeignKey('DowntimePlan', ['organisationId', 'fleetId', 'planId'], ['organisationId', 'fleetId', 'id'], {
  name: 'planned_visits_plan_fkey',
  onDelete: 'CASCADE',
})
@ForeignKey('Workshop', ['organisationId', 'workshopId'], ['organisationId', 'id'], {
  name: 'planned_visits_workshop_fkey',
})
export class PlannedVisit extends TenantRecord {
  @Column('uuid')
  planId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('uuid')
  depotId!: string;

  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  workshopId!: string;

  @Column('date')
  visitOn!: string;

  /** the last day of the visit */
  @Column('date')
  untilOn!: string;

  /** where the diaries have room for it; null where they have none */
  @Column('timestamptz', { nullable: true })
  startsAt!: Date | null;

  @Column('timestamptz', { nullable: true })
  endsAt!: Date | null;

  @Column('uuid', { nullable: true })
  bayId!: string | null;

  @Column('uuid', { array: true, default: '{}' })
  technicianIds!: string[];

  @Column('integer')
  workMinutes!: number;

  @Column('bigint', { transformer: { from: Number, to: (value: number) => value } })
  visitCostMinor!: number;

  /** life given away and risk of its items */
  @Column('bigint', { transformer: { from: Number, to: (value: number) => value } })
  itemCostMinor!: number;

  @Column('boolean')
  locked!: boolean;

  @Column('text', { default: 'open' })
  acceptance!: Acceptance;

  @Column('uuid', { nullable: true })
  bookingId!: string | null;

  @Column('text', { nullable: true })
  refusal!: string | null;
}
