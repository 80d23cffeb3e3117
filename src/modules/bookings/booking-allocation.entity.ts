import { Check, Column, Entity, Exclusion, ForeignKey, Index } from 'typeorm';
import { TenantRecord } from '../../platform/database/tenant-record';

/** A bay, a person or a vehicle that a booking takes for a time. */
@Entity('booking_allocations')
@Index('booking_allocations_resource_idx', ['organisationId', 'resourceId', 'startsAt'], { where: 'live' })
@Index('booking_allocations_booking_idx', ['organisationId', 'bookingId'])
@Check(
  'booking_allocations_one_resource_check',
  `num_nonnulls(bay_id, technician_id, vehicle_id) = 1
  AND resource_id = COALESCE(bay_id, technician_id, vehicle_id) AND (vehicle_id IS NULL) = (fleet_id IS NULL)`,
)
@Check(
  'booking_allocations_period_check',
  `starts_at < ends_at AND isfinite(starts_at) AND isfinite(ends_at) AND ends_at <= starts_at + interval '60 days'`,
)
@Exclusion(
  'booking_allocations_no_double_booking',
  `USING gist (organisation_id WITH =, resource_id WITH =, tstzrange(starts_at, ends_at, '[)') WITH &&) WHERE (live)`,
)
@ForeignKey('Booking', ['organisationId', 'bookingId'], ['organisationId', 'id'], {
  name: 'booking_allocations_booking_fkey',
  onDelete: 'CASCADE',
})
@ForeignKey('Bay', ['organisationId', 'bayId'], ['organisationId', 'id'], {
  name: 'booking_allocations_bay_fkey',
})
@ForeignKey('Technician', ['organisationId', 'technicianId'], ['organisationId', 'id'], {
  name: 'booking_allocations_technician_fkey',
})
@ForeignKey('Vehicle', ['organisationId', 'fleetId', 'vehicleId'], ['organisationId', 'fleetId', 'id'], {
  name: 'booking_allocations_vehicle_fkey',
  onUpdate: 'CASCADE',
})
export class BookingAllocation extends TenantRecord {
  @Column('uuid')
  bookingId!: string;

  @Column('uuid', { nullable: true })
  bayId!: string | null;

  @Column('uuid', { nullable: true })
  technicianId!: string | null;

  @Column('uuid', { nullable: true })
  vehicleId!: string | null;

  @Column('uuid', { nullable: true })
  fleetId!: string | null;

  /** whichever of the three it is */
  @Column('uuid')
  resourceId!: string;

  @Column('timestamptz')
  startsAt!: Date;

  @Column('timestamptz')
  endsAt!: Date;

  /** of a provisional booking: until when it holds the time, by the database's clock */
  @Column('timestamptz', { nullable: true })
  heldUntil!: Date | null;

  /** false once the booking does not need the time any more */
  @Column('boolean', { default: true })
  live!: boolean;
}
