import { Column, Entity, ForeignKey, Index, Unique } from 'typeorm';
import { TimestampedRecord } from '../../platform/database/tenant-record';

@Entity('gas_units')
@Unique('gas_units_fleet_key', ['organisationId', 'fleetId', 'id'])
@Unique('gas_units_external_key_key', ['organisationId', 'externalKey'])
@Unique('gas_units_serial_number_key', ['organisationId', 'unitTypeId', 'serialNumber'])
@Index('gas_units_serial_number_idx', ['organisationId', 'serialNumber'])
@ForeignKey('Fleet', ['organisationId', 'fleetId'], ['organisationId', 'id'], {
  name: 'gas_units_fleet_fkey',
})
@ForeignKey('GasUnitType', ['organisationId', 'unitTypeId'], ['organisationId', 'id'], {
  name: 'gas_units_unit_type_fkey',
})
export class GasUnit extends TimestampedRecord {
  /** that of the vehicle while fitted */
  @Column('uuid')
  fleetId!: string;

  @Column('uuid')
  unitTypeId!: string;

  @Column('text', { nullable: true })
  externalKey!: string | null;

  @Column('text')
  serialNumber!: string;

  @Column('date', { nullable: true })
  madeOn!: string | null;

  @Column('text', { nullable: true })
  note!: string | null;
}
