import { Check, Column, Entity, Unique } from 'typeorm';
import { RevisedRecord } from '../../platform/database/tenant-record';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';

/** Days on which a vehicle has to stay on the road: nothing else can cover its duty. Periods may overlap. */
@Entity('blackout_periods')
@Unique('blackout_periods_days_key', ['organisationId', 'vehicleId', 'fromOn', 'untilOn'])
@Unique('blackout_periods_external_key_key', ['organisationId', 'externalKey'])
@Check('blackout_periods_period_check', `until_on > from_on AND until_on <= from_on + interval '2 years'`)
@VehicleForeignKey('blackout_periods_vehicle_fkey')
export class BlackoutPeriod extends RevisedRecord {
  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('date')
  fromOn!: string;

  @Column('date')
  untilOn!: string;

  @Column('text')
  reason!: string;

  @Column('text', { nullable: true })
  externalKey!: string | null;

  @Column('timestamptz', { default: () => 'now()' })
  recordedAt!: Date;
}
