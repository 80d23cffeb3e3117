import { Check, Column, Entity, ForeignKey, PrimaryColumn } from 'typeorm';

/** A workshop that the vehicles of a depot can go to. */
@Entity('reachable_workshops')
@Check('reachable_workshops_transfer_check', `transfer_minutes >= 0 AND transfer_cost_minor >= 0`)
@ForeignKey(
  'WorkshopReach',
  ['organisationId', 'fleetId', 'depotId'],
  ['organisationId', 'fleetId', 'depotId'],
  { name: 'reachable_workshops_reach_fkey' },
)
@ForeignKey('Workshop', ['organisationId', 'workshopId'], ['organisationId', 'id'], {
  name: 'reachable_workshops_workshop_fkey',
})
export class ReachableWorkshop {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid')
  depotId!: string;

  @PrimaryColumn('uuid')
  workshopId!: string;

  @Column('uuid')
  fleetId!: string;

  /** there and back */
  @Column('integer')
  transferMinutes!: number;

  /** there and back */
  @Column('integer')
  transferCostMinor!: number;
}
