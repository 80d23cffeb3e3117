import { Column, Entity, ForeignKey, Index, PrimaryColumn } from 'typeorm';
import { TenantRecord } from '../database/tenant-record';

/** What is told of one change. That of an audit entry has its id, transaction and sequence. */
@Entity('events')
@Index('events_feed_idx', ['organisationId', 'xid', 'sequence'])
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], { name: 'events_organisation_fkey' })
export class Event extends TenantRecord {
  /** subject type and action: `vehicle.changed` */
  @Column('text')
  type!: string;

  @Column('text')
  subjectType!: string;

  @Column('uuid')
  subjectId!: string;

  @Column('uuid', { nullable: true })
  vehicleId!: string | null;

  @Column('uuid', { nullable: true })
  fleetId!: string | null;

  @Column('uuid', { nullable: true })
  workshopId!: string | null;

  @Column('timestamptz', { default: () => 'now()' })
  recordedAt!: Date;

  /** the subject after the change; where nothing is left of it, before */
  @Column('jsonb')
  data!: unknown;

  /** the transaction that wrote it; with `sequence` the order of the change feed */
  @Column('bigint', { default: () => 'app.transaction_id()' })
  xid!: string;

  @Column('bigint', { default: () => `nextval('audit_entries_sequence_seq')` })
  sequence!: string;
}

/** Where the events of an organisation begin: the place of the last one that is no longer kept, 0 where all are. */
@Entity('event_horizons')
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], {
  name: 'event_horizons_organisation_fkey',
})
export class EventHorizon {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @Column('bigint', { default: 0 })
  xid!: string;

  @Column('bigint', { default: 0 })
  sequence!: string;

  /** every event below it is there to be seen, and none will come */
  @Column('bigint')
  settledBefore!: string;

  @Column('timestamptz', { default: () => 'now()' })
  movedAt!: Date;
}
