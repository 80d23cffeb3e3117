import { Check, Column, Entity, ForeignKey, Unique } from 'typeorm';
import { TimestampedRecord } from '../../platform/database/tenant-record';

/** A time at which a bay cannot be used, or a person is not there. */
export interface StoredAbsence {
  startsAt: string;
  endsAt: string;
  reason: string | null;
}

/** A place for one vehicle at a time. */
@Entity('bays')
@Unique('bays_workshop_key', ['organisationId', 'workshopId', 'id'])
@Unique('bays_name_key', ['organisationId', 'workshopId', 'name'])
@Check('bays_kinds_check', `cardinality(kinds) > 0`)
@ForeignKey('Workshop', ['organisationId', 'workshopId'], ['organisationId', 'id'], {
  name: 'bays_workshop_fkey',
})
export class Bay extends TimestampedRecord {
  @Column('uuid')
  workshopId!: string;

  @Column('text')
  name!: string;

  /** every kind of work that it serves */
  @Column('text', { array: true })
  kinds!: string[];

  @Column('jsonb')
  closures!: StoredAbsence[];

  @Column('date', { nullable: true })
  retiredOn!: string | null;
}
