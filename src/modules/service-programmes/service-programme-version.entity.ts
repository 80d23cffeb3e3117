import { Check, Column, Entity, ForeignKey, Unique } from 'typeorm';
import type { RuleOptions } from '../../core/due/rule';
import { TimestampedRecord } from '../../platform/database/tenant-record';

@Entity('service_programme_versions')
@Unique('service_programme_versions_number_key', ['organisationId', 'programmeId', 'versionNumber'])
@Check('service_programme_versions_state_check', `state IN ('draft', 'published')`)
@ForeignKey('ServiceProgramme', ['organisationId', 'programmeId'], ['organisationId', 'id'], {
  name: 'service_programme_versions_programme_fkey',
})
export class ServiceProgrammeVersion extends TimestampedRecord {
  @Column('uuid')
  programmeId!: string;

  @Column('integer')
  versionNumber!: number;

  @Column('text')
  state!: 'draft' | 'published';

  /** a published version takes effect on this day in every zone at once */
  @Column('date', { nullable: true })
  effectiveOn!: string | null;

  @Column('jsonb')
  rules!: RuleOptions[];

  @Column('jsonb')
  severityByDutyClass!: Record<string, number>;

  @Column('text', { default: '' })
  changeNote!: string;

  @Column('timestamptz', { nullable: true })
  publishedAt!: Date | null;

  @Column('text', { nullable: true })
  publishedBy!: string | null;
}
