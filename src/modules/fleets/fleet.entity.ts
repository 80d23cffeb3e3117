import { Column, Entity, ForeignKey, Unique } from 'typeorm';
import { TimestampedRecord } from '../../platform/database/tenant-record';

@Entity('fleets')
@Unique('fleets_external_key_key', ['organisationId', 'externalKey'])
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], { name: 'fleets_organisation_fkey' })
@ForeignKey('ServiceProgramme', ['organisationId', 'serviceProgrammeId'], ['organisationId', 'id'], {
  name: 'fleets_service_programme_fkey',
})
export class Fleet extends TimestampedRecord {
  @Column('text', { nullable: true })
  externalKey!: string | null;

  @Column('text')
  name!: string;

  @Column('uuid', { nullable: true })
  serviceProgrammeId!: string | null;
}
