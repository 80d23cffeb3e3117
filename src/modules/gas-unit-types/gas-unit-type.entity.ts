import { Check, Column, Entity, ForeignKey, Unique } from 'typeorm';
import type { UnitRole } from '../../core/hydraulics/unit-positions';
import { TimestampedRecord } from '../../platform/database/tenant-record';

@Entity('gas_unit_types')
@Unique('gas_unit_types_code_key', ['organisationId', 'code'])
@Unique('gas_unit_types_external_key_key', ['organisationId', 'externalKey'])
@Check(
  'gas_unit_types_roles_check',
  `cardinality(roles) > 0 AND roles <@ ARRAY['suspension', 'main-accumulator', 'rear-brake-accumulator', 'other']`,
)
@Check('gas_unit_types_figures_check', `nominal_precharge20_bar_gauge > 0 AND gas_volume_cm3 > 0`)
@Check('gas_unit_types_working_check', `working_pressure_high_bar_gauge > working_pressure_low_bar_gauge`)
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], {
  name: 'gas_unit_types_organisation_fkey',
})
export class GasUnitType extends TimestampedRecord {
  @Column('text', { nullable: true })
  externalKey!: string | null;

  /** what rules of a programme name it by */
  @Column('text')
  code!: string;

  @Column('text')
  name!: string;

  /** where a unit of this type may be fitted */
  @Column('text', { array: true })
  roles!: UnitRole[];

  @Column('double precision')
  nominalPrecharge20BarGauge!: number;

  @Column('double precision')
  gasVolumeCm3!: number;

  @Column('double precision', { nullable: true })
  workingPressureLowBarGauge!: number | null;

  @Column('double precision', { nullable: true })
  workingPressureHighBarGauge!: number | null;

  /** the damper is part of the unit and goes with it */
  @Column('boolean')
  damperIntegral!: boolean;

  @Column('text', { nullable: true })
  note!: string | null;
}
