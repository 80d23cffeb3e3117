import { Column, Entity, ForeignKey, PrimaryColumn } from 'typeorm';

/** How the units of a type lose gas, as last learnt from all units of the type. */
@Entity('precharge_models')
@ForeignKey('GasUnitType', ['organisationId', 'unitTypeId'], ['organisationId', 'id'], {
  name: 'precharge_models_unit_type_fkey',
  onDelete: 'CASCADE',
})
export class PrechargeModelRecord {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid')
  unitTypeId!: string;

  @Column('jsonb')
  model!: object;

  /** from how many units and tests, and how well it held */
  @Column('jsonb')
  learning!: object;

  @Column('timestamptz', { default: () => 'now()' })
  fittedAt!: Date;
}
