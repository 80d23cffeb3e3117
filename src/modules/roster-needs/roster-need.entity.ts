import { Check, Column, Entity, ForeignKey, PrimaryColumn } from 'typeorm';

/** Another need than the one of the weekday on some days. */
export interface StoredRosterException {
  fromOn: string;
  /** the first day after it */
  untilOn: string;
  needed: number;
  reason: string;
}

/** How many vehicles a depot needs on the road, day by day. */
@Entity('roster_needs')
@Check('roster_needs_weekdays_check', `cardinality(needed_by_weekday) = 7 AND 0 <= ALL (needed_by_weekday)`)
@ForeignKey('Depot', ['organisationId', 'fleetId', 'depotId'], ['organisationId', 'fleetId', 'id'], {
  name: 'roster_needs_depot_fkey',
})
export class RosterNeed {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid')
  depotId!: string;

  @Column('uuid')
  fleetId!: string;

  /** Monday first */
  @Column('integer', { array: true })
  neededByWeekday!: number[];

  @Column('jsonb')
  exceptions!: StoredRosterException[];

  @Column('integer', { default: 1 })
  revision!: number;
}
