import { Check, Column, Entity, ForeignKey, PrimaryColumn, Unique } from 'typeorm';

/** One link of an organisation's chain: which entry stands at which place, and a hash of all up to it. */
@Entity('audit_seals')
@Unique('audit_seals_entry_key', ['organisationId', 'entryId'])
@Check('audit_seals_position_check', `position > 0`)
@Check('audit_seals_hash_check', `octet_length(hash) = 32`)
@ForeignKey('AuditEntry', ['organisationId', 'entryId'], ['organisationId', 'id'], {
  name: 'audit_seals_entry_fkey',
})
export class AuditSeal {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('bigint')
  position!: string;

  @Column('uuid')
  entryId!: string;

  @Column('bytea')
  hash!: Buffer;

  @Column('timestamptz', { default: () => 'now()' })
  recordedAt!: Date;
}
