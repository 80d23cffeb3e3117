import { Check, Column, Entity, ForeignKey, Unique } from 'typeorm';
import type { UnitRole } from '../../core/hydraulics/unit-positions';
import { TimestampedRecord } from '../../platform/database/tenant-record';

/** A place for a gas unit that the organisation added to the standard ones. */
@Entity('unit_positions')
@Unique('unit_positions_code_key', ['organisationId', 'code'])
@Check(
  'unit_positions_role_check',
  `role IN ('suspension', 'main-accumulator', 'rear-brake-accumulator', 'other')`,
)
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], {
  name: 'unit_positions_organisation_fkey',
})
export class OwnUnitPosition extends TimestampedRecord {
  @Column('text')
  code!: string;

  @Column('text')
  name!: string;

  @Column('text')
  role!: UnitRole;
}
