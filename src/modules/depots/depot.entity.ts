import { Column, Entity, ForeignKey, Unique } from 'typeorm';
import { TimestampedRecord } from '../../platform/database/tenant-record';

@Entity('depots')
@Unique('depots_external_key_key', ['organisationId', 'externalKey'])
@Unique('depots_fleet_key', ['organisationId', 'fleetId', 'id'])
@ForeignKey('Fleet', ['organisationId', 'fleetId'], ['organisationId', 'id'], { name: 'depots_fleet_fkey' })
export class Depot extends TimestampedRecord {
  @Column('uuid')
  fleetId!: string;

  @Column('text', { nullable: true })
  externalKey!: string | null;

  @Column('text')
  name!: string;

  /** IANA zone in which this depot's days begin and end */
  @Column('text')
  zone!: string;
}
