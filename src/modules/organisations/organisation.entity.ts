import { Check, Column, CreateDateColumn, Entity, PrimaryColumn } from 'typeorm';

import type { DistanceUnit, PressureUnit } from '../../platform/units/shown-units';

/** The tenant: an operator with its own workshop, or a workshop group with its customers' fleets. */
@Entity('organisations')
@Check('organisations_distance_unit_check', `distance_unit IN ('km', 'mi')`)
@Check('organisations_pressure_unit_check', `pressure_unit IN ('bar', 'kPa', 'psi')`)
export class Organisation {
  @PrimaryColumn('uuid', { default: () => 'uuidv7()' })
  organisationId!: string;

  @Column('text')
  name!: string;

  @Column('uuid', { nullable: true })
  defaultServiceProgrammeId!: string | null;

  @Column('text', { default: 'km' })
  distanceUnit!: DistanceUnit;

  @Column('text', { default: 'bar' })
  pressureUnit!: PressureUnit;

  @Column('integer', { default: 1 })
  revision!: number;

  @CreateDateColumn({ type: 'timestamptz', default: () => 'now()' })
  createdAt!: Date;
}
