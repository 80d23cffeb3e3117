import { Check, Column, Entity, Exclusion, Unique } from 'typeorm';
import { RevisedRecord } from '../../platform/database/tenant-record';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';

/** Days on which the vehicle stood: from the first day off the road until the first day back. */
@Entity('off_road_periods')
@Unique('off_road_periods_external_key_key', ['organisationId', 'externalKey'])
@Check('off_road_periods_period_check', `until_on > from_on`)
@Exclusion(
  'off_road_periods_no_overlap',
  `USING gist (organisation_id WITH =, vehicle_id WITH =, daterange(from_on, until_on, '[)') WITH &&)`,
)
@VehicleForeignKey('off_road_periods_vehicle_fkey')
export class OffRoadPeriod extends RevisedRecord {
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
