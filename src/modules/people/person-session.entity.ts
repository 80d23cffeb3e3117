import { Column, CreateDateColumn, Entity, ForeignKey, Index } from 'typeorm';
import { TenantRecord } from '../../platform/database/tenant-record';

/** A browser in which a person has signed in. The row goes when the session ends. */
@Entity('person_sessions')
@Index('person_sessions_person_idx', ['organisationId', 'personId'])
@ForeignKey('Person', ['organisationId', 'personId'], ['organisationId', 'id'], {
  name: 'person_sessions_person_fkey',
  onDelete: 'CASCADE',
})
export class PersonSession extends TenantRecord {
  @Column('uuid')
  personId!: string;

  @Column('bytea')
  tokenSha256!: Buffer;

  @CreateDateColumn({ type: 'timestamptz', default: () => 'now()' })
  startedAt!: Date;

  /** put off while it is used */
  @Column('timestamptz')
  idleEndsAt!: Date;

  @Column('timestamptz')
  endsAt!: Date;
}
