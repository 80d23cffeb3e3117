import { Check, Column, Entity, Index, Unique } from 'typeorm';
import type { ReadingUnit } from '../../core/usage/meter-track';
import { RevisedRecord } from '../../platform/database/tenant-record';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';

export interface StoredSuspicion {
  code: string;
  explanation: string;
}

@Entity('odometer_readings')
@Unique('odometer_readings_external_key_key', ['organisationId', 'externalKey'])
@Index('odometer_readings_vehicle_idx', ['organisationId', 'vehicleId', 'readAt'])
@Index('odometer_readings_quarantine_idx', ['organisationId', 'id'], { where: `state = 'quarantined'` })
@Check('odometer_readings_meter_check', `meter IN ('odometer', 'engine-hours')`)
@Check(
  'odometer_readings_unit_check',
  `(meter = 'odometer') = (unit IN ('km', 'mi')) AND unit IN ('km', 'mi', 'h')`,
)
@Check('odometer_readings_state_check', `state IN ('accepted', 'quarantined', 'rejected')`)
@Check('odometer_readings_value_check', `value >= 0`)
@VehicleForeignKey('odometer_readings_vehicle_fkey')
export class OdometerReading extends RevisedRecord {
  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('text')
  meter!: 'odometer' | 'engine-hours';

  /** as it was given; kilometres are derived */
  @Column('double precision')
  value!: number;

  @Column('text')
  unit!: ReadingUnit;

  @Column('timestamptz')
  readAt!: Date;

  @Column('text')
  source!: string;

  @Column('text', { nullable: true })
  externalKey!: string | null;

  @Column('text')
  state!: 'accepted' | 'quarantined' | 'rejected';

  @Column('jsonb', { nullable: true })
  suspicions!: StoredSuspicion[] | null;

  @Column('double precision', { nullable: true })
  suggestedValue!: number | null;

  @Column('text', { nullable: true })
  decidedBy!: string | null;

  @Column('timestamptz', { nullable: true })
  decidedAt!: Date | null;

  @Column('text', { nullable: true })
  decisionNote!: string | null;

  @Column('timestamptz', { default: () => 'now()' })
  recordedAt!: Date;
}
