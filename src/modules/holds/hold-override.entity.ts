import { Check, Column, Entity, Index } from 'typeorm';
import { RevisedRecord } from '../../platform/database/tenant-record';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';

/** A named person's dated decision that named reasons do not keep the vehicle off the road. */
@Entity('hold_overrides')
@Index('hold_overrides_vehicle_idx', ['organisationId', 'vehicleId'])
@Check('hold_overrides_period_check', `until_on >= from_on`)
@VehicleForeignKey('hold_overrides_vehicle_fkey')
export class HoldOverride extends RevisedRecord {
  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('jsonb')
  reasonKeys!: string[];

  @Column('text')
  namedPerson!: string;

  @Column('text')
  statement!: string;

  @Column('date')
  fromOn!: string;

  /** last day on which it counts */
  @Column('date')
  untilOn!: string;

  @Column('text')
  recordedBy!: string;

  @Column('timestamptz', { default: () => 'now()' })
  recordedAt!: Date;

  @Column('timestamptz', { nullable: true })
  revokedAt!: Date | null;

  @Column('text', { nullable: true })
  revokedBy!: string | null;
}
