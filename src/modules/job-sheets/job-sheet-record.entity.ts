import { Check, Column, Entity, ForeignKey, Index, Unique } from 'typeorm';
import type { Consumable } from '../../core/due/rule';
import type { JobSheet } from '../../core/job-sheet/job-sheet';
import { TimestampedRecord } from '../../platform/database/tenant-record';
import type { StepEntry } from './step-entry';

/** Work that a technician found and that was not booked. */
export interface FoundWork {
  title: string;
  note: string | null;
  urgent: boolean;
}

/** The sheet of one job: what is to be done, what came of it, and who answers for it. */
@Entity('job_sheets')
@Unique('job_sheets_booking_key', ['organisationId', 'bookingId'])
@Index('job_sheets_vehicle_idx', ['organisationId', 'vehicleId'])
@Index('job_sheets_workshop_idx', ['organisationId', 'workshopId', 'state'])
@Check('job_sheets_state_check', `state IN ('open', 'completed')`)
@Check('job_sheets_decision_check', `decision IN ('released', 'held')`)
@Check(
  'job_sheets_completed_check',
  `(state = 'completed') = (completion IS NOT NULL) AND (completion IS NULL) = (completion_fingerprint IS NULL)
  AND (completion IS NULL) = (completed_at IS NULL) AND (completion IS NULL) = (signed_off_by IS NULL)
  AND (completion IS NULL) = (decision IS NULL)`,
)
@ForeignKey(
  'Booking',
  ['organisationId', 'fleetId', 'vehicleId', 'workshopId', 'bookingId'],
  ['organisationId', 'fleetId', 'vehicleId', 'workshopId', 'id'],
  { name: 'job_sheets_booking_fkey', onUpdate: 'CASCADE' },
)
@ForeignKey('Technician', ['organisationId', 'signedOffBy'], ['organisationId', 'id'], {
  name: 'job_sheets_signed_off_by_fkey',
})
export class JobSheetRecord extends TimestampedRecord {
  @Column('uuid')
  bookingId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  workshopId!: string;

  @Column('text')
  state!: 'open' | 'completed';

  @Column('jsonb')
  sheet!: JobSheet;

  /** in the order of the steps */
  @Column('jsonb')
  entries!: StepEntry[];

  @Column('jsonb')
  partsUsed!: Consumable[];

  @Column('jsonb')
  workFound!: FoundWork[];

  /** the answer that the completion had, for whoever asks again */
  @Column('jsonb', { nullable: true })
  completion!: object | null;

  /** of the request that completed it: the same one again changes nothing */
  @Column('text', { nullable: true })
  completionFingerprint!: string | null;

  @Column('timestamptz', { nullable: true })
  completedAt!: Date | null;

  @Column('uuid', { nullable: true })
  signedOffBy!: string | null;

  @Column('text', { nullable: true })
  decision!: 'released' | 'held' | null;
}
