import { Column, Entity, ForeignKey, Generated, Index, PrimaryColumn } from 'typeorm';

@Entity('audit_entries')
@Index('audit_entries_subject_idx', ['organisationId', 'subjectId'])
@Index('audit_entries_change_idx', ['organisationId', 'xid', 'sequence'])
@Index('audit_entries_listing_idx', ['organisationId', 'recordedAt', 'id'])
@Index('audit_entries_vehicle_idx', ['organisationId', 'vehicleId', 'recordedAt', 'id'], {
  where: 'vehicle_id IS NOT NULL',
})
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

  /** the transaction that wrote it; with `sequence` the order of the change log */
  @Column('bigint', { default: () => 'app.transaction_id()' })
  xid!: string;

  @Column('bigint')
  @Generated('increment')
  sequence!: string;
}
