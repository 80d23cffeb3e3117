import { Column, Entity, ForeignKey, PrimaryColumn, Unique } from 'typeorm';

/** That it is set for a depot which workshops its vehicles can go to; `reachable_workshops` has which. */
@Entity('workshop_reaches')
@Unique('workshop_reaches_fleet_key', ['organisationId', 'fleetId', 'depotId'])
@ForeignKey('Depot', ['organisationId', 'fleetId', 'depotId'], ['organisationId', 'fleetId', 'id'], {
  name: 'workshop_reaches_depot_fkey',
})
export class WorkshopReach {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid')
  depotId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('integer', { default: 1 })
  revision!: number;
}
