import { Column } from 'typeorm';
import { RevisedRecord } from './tenant-record';

/** A record that nobody deletes: one that was made by mistake stays on file and counts no more. */
export abstract class VoidableRecord extends RevisedRecord {
  @Column('timestamptz', { default: () => 'now()' })
  recordedAt!: Date;

  @Column('timestamptz', { nullable: true })
  voidedAt!: Date | null;

  @Column('text', { nullable: true })
  voidedBy!: string | null;

  @Column('text', { nullable: true })
  voidReason!: string | null;
}

/** Marks a record that was made by mistake, as of a moment in milliseconds; the caller saves it. */
export function voidRecord(record: VoidableRecord, by: string, reason: string, at: number): void {
  record.voidedAt = new Date(at);
  record.voidedBy = by;
  record.voidReason = reason;
  record.revision += 1;
}
