import { Column, Entity, ForeignKey, Index, PrimaryColumn } from 'typeorm';

@Entity('idempotency_records')
@Index('idempotency_records_created_at_idx', ['organisationId', 'createdAt'])
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], {
  name: 'idempotency_records_organisation_fkey',
})
export class IdempotencyRecord {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid')
  actorId!: string;

  @PrimaryColumn('text')
  idempotencyKey!: string;

  @Column('text')
  fingerprint!: string;

  @Column('json')
  response!: unknown;

  @Column('timestamptz', { default: () => 'now()' })
  createdAt!: Date;
}
