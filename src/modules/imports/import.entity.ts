import { Check, Column, CreateDateColumn, Entity, ForeignKey, Index } from 'typeorm';
import { RevisedRecord } from '../../platform/database/tenant-record';
import type { ImportFormatName } from './import-formats';
import type { ImportKindName } from './import-kind';

export const importStates = ['uploading', 'queued', 'running', 'finished', 'failed', 'cancelled'] as const;
export type ImportState = (typeof importStates)[number];

@Entity('imports')
@Check(
  'imports_state_check',
  `state IN ('uploading', 'queued', 'running', 'finished', 'failed', 'cancelled')`,
)
@Check('imports_format_check', `format IN ('csv', 'ndjson')`)
@Index('imports_open_idx', ['organisationId'], { where: `state IN ('queued', 'running')` })
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], { name: 'imports_organisation_fkey' })
export class Import extends RevisedRecord {
  @Column('text')
  kind!: ImportKindName;

  @Column('text', { default: 'csv' })
  format!: ImportFormatName;

  @Column('text', { nullable: true })
  fileName!: string | null;

  @Column('boolean')
  dryRun!: boolean;

  /** first line of the file, in a format where it names the columns */
  @Column('text', { nullable: true })
  header!: string | null;

  @Column('text')
  state!: ImportState;

  @Column('text', { nullable: true })
  failure!: string | null;

  @Column('bigint', { default: 0 })
  byteCount!: string;

  @Column('bigint', { default: 0 })
  bytesRead!: string;

  @Column('integer', { default: 0 })
  linesRead!: number;

  @Column('integer', { default: 0 })
  linesCreated!: number;

  @Column('integer', { default: 0 })
  linesUpdated!: number;

  @Column('integer', { default: 0 })
  linesUnchanged!: number;

  @Column('integer', { default: 0 })
  linesRejected!: number;

  /** the key on whose behalf the lines are written, with its fleets */
  @Column('uuid', { nullable: true })
  actorId!: string | null;

  @Column('text')
  createdBy!: string;

  @CreateDateColumn({ type: 'timestamptz', default: () => 'now()' })
  createdAt!: Date;

  @Column('timestamptz', { nullable: true })
  finishedAt!: Date | null;
}
