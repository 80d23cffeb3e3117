import { Check, Column, Entity, ForeignKey, Unique } from 'typeorm';
import { TimestampedRecord } from '../../platform/database/tenant-record';

@Entity('service_programmes')
@Unique('service_programmes_name_key', ['organisationId', 'name'])
@Check('service_programmes_origin_check', `origin IN ('starter', 'own')`)
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], {
  name: 'service_programmes_organisation_fkey',
})
export class ServiceProgramme extends TimestampedRecord {
  @Column('text')
  name!: string;

  @Column('text')
  origin!: 'starter' | 'own';

  /** where the figures come from, such as "from memory: confirm against the maker's schedule" */
  @Column('text')
  originNote!: string;

  /** the version that due items are computed from; null until one has been published */
  @Column('uuid', { nullable: true })
  currentVersionId!: string | null;
}
