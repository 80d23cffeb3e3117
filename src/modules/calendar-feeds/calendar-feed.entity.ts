import { Check, Column, CreateDateColumn, Entity, ForeignKey } from 'typeorm';
import { RevisedRecord } from '../../platform/database/tenant-record';

/** The address of a calendar: of the diary of a workshop, or of the off-road days of a depot. */
@Entity('calendar_feeds')
@Check('calendar_feeds_subject_check', `(workshop_id IS NULL) <> (depot_id IS NULL)`)
@ForeignKey('Workshop', ['organisationId', 'workshopId'], ['organisationId', 'id'], {
  name: 'calendar_feeds_workshop_fkey',
})
@ForeignKey('Depot', ['organisationId', 'depotId'], ['organisationId', 'id'], {
  name: 'calendar_feeds_depot_fkey',
})
export class CalendarFeed extends RevisedRecord {
  @Column('text')
  label!: string;

  @Column('uuid', { nullable: true })
  workshopId!: string | null;

  @Column('uuid', { nullable: true })
  depotId!: string | null;

  /** names of technicians and of who called are in it */
  @Column('boolean')
  withNames!: boolean;

  /** those of the key that made it; null: every fleet of the organisation */
  @Column('uuid', { array: true, nullable: true })
  fleetIds!: string[] | null;

  /** those of the key that made it; null: every workshop of the organisation */
  @Column('uuid', { array: true, nullable: true })
  workshopIds!: string[] | null;

  @Column('uuid')
  secretId!: string;

  @Column('bytea')
  secretSha256!: Buffer;

  @Column('timestamptz')
  secretMadeAt!: Date;

  /** to the nearest few minutes */
  @Column('timestamptz', { nullable: true })
  lastReadAt!: Date | null;

  @Column('timestamptz', { nullable: true })
  revokedAt!: Date | null;

  @Column('text')
  createdBy!: string;

  @CreateDateColumn({ type: 'timestamptz', default: () => 'now()' })
  createdAt!: Date;
}
