import { Column, Entity, ForeignKey, Index, PrimaryColumn } from 'typeorm';

@Entity('audit_entries')
@Index('audit_entries_subject_idx', ['organisationId', 'subjectId'])
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], {
  name: 'audit_entries_organisation_fkey',
})
export class AuditEntry {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid', { default: () => 'uuidv7()' })
  id!: string;

  @Column('timestamptz', { default: () => 'now()' })
  recordedAt!: Date;

  @Column('text')
  actor!: string;

  @Column('text')
  action!: string;

  @Column('text')
  subjectType!: string;

  @Column('uuid')
  subjectId!: string;

  @Column('uuid', { nullable: true })
  vehicleId!: string | null;

  @Column('jsonb', { nullable: true })
  before!: unknown;

  @Column('jsonb', { nullable: true })
  after!: unknown;
}
