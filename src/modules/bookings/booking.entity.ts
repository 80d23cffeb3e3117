import { Check, Column, Entity, ForeignKey, Index, Unique } from 'typeorm';
import type { BookingState } from '../../core/booking/booking-state';
import { TimestampedRecord } from '../../platform/database/tenant-record';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';
import type { BookedWork } from './booked-work';

/** A period as it is stored. */
export interface StoredPeriod {
  startsAt: string;
  endsAt: string;
}

/** When somebody really worked on the vehicle. */
export interface WorkPeriod extends StoredPeriod {
  technicianId: string;
}

/** Work on one vehicle in one bay, by some people, at a time. */
@Entity('bookings')
@Unique('bookings_external_key_key', ['organisationId', 'externalKey'])
@Unique('bookings_vehicle_key', ['organisationId', 'fleetId', 'vehicleId', 'workshopId', 'id'])
@Index('bookings_workshop_idx', ['organisationId', 'workshopId', 'startsAt', 'id'])
@Index('bookings_vehicle_idx', ['organisationId', 'vehicleId', 'startsAt'])
@Index('bookings_lapsing_idx', ['organisationId', 'provisionalUntil'], { where: `state = 'provisional'` })
@Check(
  'bookings_state_check',
  `state IN (
    'provisional', 'confirmed', 'arrived', 'in-work', 'finished', 'collected', 'cancelled', 'missed', 'lapsed'
  )`,
)
@Check('bookings_cause_check', `cause IN ('planned', 'failure')`)
@Check(
  'bookings_times_check',
  `bay_from_at <= starts_at AND starts_at < ends_at AND ends_at <= bay_until_at AND work_minutes > 0`,
)
@Check('bookings_technicians_check', `cardinality(technician_ids) > 0`)
@Check('bookings_provisional_check', `(state = 'provisional') <= (provisional_until IS NOT NULL)`)
@VehicleForeignKey('bookings_vehicle_fkey')
@ForeignKey('Bay', ['organisationId', 'workshopId', 'bayId'], ['organisationId', 'workshopId', 'id'], {
  name: 'bookings_bay_fkey',
})
export class Booking extends TimestampedRecord {
  @Column('uuid')
  fleetId!: string;

  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  workshopId!: string;

  @Column('uuid')
  bayId!: string;

  @Column('uuid', { array: true })
  technicianIds!: string[];

  @Column('text', { nullable: true })
  externalKey!: string | null;

  @Column('text')
  state!: BookingState;

  /** by the database's clock; kept after the confirmation, when it means nothing any more */
  @Column('timestamptz', { nullable: true })
  provisionalUntil!: Date | null;

  @Column('timestamptz')
  startsAt!: Date;

  @Column('timestamptz')
  endsAt!: Date;

  /** the bay and the vehicle are taken from here, the minutes before the work included */
  @Column('timestamptz')
  bayFromAt!: Date;

  @Column('timestamptz')
  bayUntilAt!: Date;

  /** when the people work */
  @Column('jsonb')
  pieces!: StoredPeriod[];

  @Column('jsonb')
  work!: BookedWork;

  @Column('integer')
  workMinutes!: number;

  @Column('integer')
  minutesBefore!: number;

  @Column('integer')
  minutesAfter!: number;

  /** why the vehicle is down: planned maintenance, or a failure */
  @Column('text')
  cause!: 'planned' | 'failure';

  /** who called, and how to reach them */
  @Column('text', { nullable: true })
  contact!: string | null;

  @Column('text', { nullable: true })
  note!: string | null;

  @Column('text')
  bookedBy!: string;

  @Column('timestamptz', { nullable: true })
  arrivedAt!: Date | null;

  @Column('timestamptz', { nullable: true })
  workStartedAt!: Date | null;

  /** who worked when, as it was signed off; null before */
  @Column('jsonb', { nullable: true })
  workPeriods!: WorkPeriod[] | null;

  @Column('timestamptz', { nullable: true })
  finishedAt!: Date | null;

  /** when the vehicle could go back to the road; null while it is held */
  @Column('timestamptz', { nullable: true })
  releasedAt!: Date | null;

  @Column('timestamptz', { nullable: true })
  collectedAt!: Date | null;

  /** cancelled, missed or lapsed */
  @Column('timestamptz', { nullable: true })
  closedAt!: Date | null;

  @Column('text', { nullable: true })
  closedReason!: string | null;
}
