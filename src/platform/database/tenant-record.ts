import { Column, CreateDateColumn, PrimaryColumn, UpdateDateColumn } from 'typeorm';

/** A row of one organisation: its key starts with the organisation, like every key of the schema. */
export abstract class TenantRecord {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid', { default: () => 'uuidv7()' })
  id!: string;
}

/** A row that people change: `revision` counts the changes and is its ETag. */
export abstract class RevisedRecord extends TenantRecord {
  @Column('integer', { default: 1 })
  revision!: number;
}

export abstract class TimestampedRecord extends RevisedRecord {
  @CreateDateColumn({ type: 'timestamptz', default: () => 'now()' })
  createdAt!: Date;

  @UpdateDateColumn({ type: 'timestamptz', default: () => 'now()' })
  updatedAt!: Date;
}
