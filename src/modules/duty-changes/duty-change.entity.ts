import { Column, Entity, Unique } from 'typeorm';
import { RevisedRecord } from '../../platform/database/tenant-record';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';

@Entity('duty_changes')
@Unique('duty_changes_external_key_key', ['organisationId', 'externalKey'])
@Unique('duty_changes_day_key', ['organisationId', 'vehicleId', 'fromOn'])
@VehicleForeignKey('duty_changes_vehicle_fkey')
export class DutyChange extends RevisedRecord {
  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('date')
  fromOn!: string;

  @Column('text')
  dutyClass!: string;

  @Column('text', { nullable: true })
  note!: string | null;

  @Column('text', { nullable: true })
  externalKey!: string | null;

  @Column('timestamptz', { default: () => 'now()' })
  recordedAt!: Date;
}
