import { Check, Column, Entity, ForeignKey, Index, Unique } from 'typeorm';
import { TenantRecord } from '../../platform/database/tenant-record';
import type { PlannedItemDetails } from './plan-outcome';

export const itemReasons = [
  'on-due-day',
  'due-day-outside-window',
  'runs-short',
  'cheaper-this-way',
  'locked',
  'left-out',
] as const;
export type ItemReason = (typeof itemReasons)[number];

/** A due item in a plan: the visit that does it, or none, and why then. */
@Entity('planned_items')
@Unique('planned_items_key', ['organisationId', 'planId', 'vehicleId', 'itemKey'])
@Index('planned_items_visit_idx', ['organisationId', 'visitId'])
@Check(
  'planned_items_reason_check',
  `reason IN ('on-due-day', 'due-day-outside-window', 'runs-short', 'cheaper-this-way', 'locked', 'left-out')`,
)
@ForeignKey('DowntimePlan', ['organisationId', 'fleetId', 'planId'], ['organisationId', 'fleetId', 'id'], {
  name: 'planned_items_plan_fkey',
  onDelete: 'CASCADE',
})
@ForeignKey(
  'PlannedVisit',
  ['organisationId', 'fleetId', 'vehicleId', 'planId', 'visitId'],
  ['organisationId', 'fleetId', 'vehicleId', 'planId', 'id'],
  { name: 'planned_items_visit_fkey', onDelete: 'CASCADE' },
)
export class PlannedItem extends TenantRecord {
  @Column('uuid')
  planId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('uuid')
  vehicleId!: string;

  /** null: left out */
  @Column('uuid', { nullable: true })
  visitId!: string | null;

  @Column('text')
  itemKey!: string;

  @Column('text')
  reason!: ItemReason;

  @Column('jsonb')
  details!: PlannedItemDetails;
}
