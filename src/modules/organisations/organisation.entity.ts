import { Column, CreateDateColumn, Entity, PrimaryColumn } from 'typeorm';

/** The tenant: an operator with its own workshop, or a workshop group with its customers' fleets. */
@Entity('organisations')
export class Organisation {
  @PrimaryColumn('uuid', { default: () => 'uuidv7()' })
  organisationId!: string;

  @Column('text')
  name!: string;

  @Column('uuid', { nullable: true })
  defaultServiceProgrammeId!: string | null;

  @Column('integer', { default: 1 })
  revision!: number;

  @CreateDateColumn({ type: 'timestamptz', default: () => 'now()' })
  createdAt!: Date;
}
