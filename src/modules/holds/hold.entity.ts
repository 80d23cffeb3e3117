import { Check, Column, Entity, Index } from 'typeorm';
import { RevisedRecord } from '../../platform/database/tenant-record';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';

/** A hold that a person placed; the holds that follow from the records are worked out when they are read. */
@Entity('holds')
@Index('holds_vehicle_idx', ['organisationId', 'vehicleId'])
@Check(
  'holds_lifted_check',
  `(lifted_at IS NULL) = (lifted_by IS NULL) AND (lifted_at IS NULL) = (lift_reason IS NULL)`,
)
@VehicleForeignKey('holds_vehicle_fkey')
export class Hold extends RevisedRecord {
  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('text')
  reason!: string;

  @Column('text')
  placedBy!: string;

  @Column('timestamptz', { default: () => 'now()' })
  placedAt!: Date;

  @Column('text', { nullable: true })
  liftedBy!: string | null;

  @Column('timestamptz', { nullable: true })
  liftedAt!: Date | null;

  @Column('text', { nullable: true })
  liftReason!: string | null;
}
