import { Check, Column, Entity, Unique } from 'typeorm';
import type { ReadingUnit } from '../../core/usage/meter-track';
import { RevisedRecord } from '../../platform/database/tenant-record';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';

@Entity('odometer_replacements')
@Unique('odometer_replacements_external_key_key', ['organisationId', 'externalKey'])
@Unique('odometer_replacements_moment_key', ['organisationId', 'vehicleId', 'meter', 'replacedAt'])
@Check('odometer_replacements_meter_check', `meter IN ('odometer', 'engine-hours')`)
@VehicleForeignKey('odometer_replacements_vehicle_fkey')
export class OdometerReplacement extends RevisedRecord {
  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('text')
  meter!: 'odometer' | 'engine-hours';

  @Column('timestamptz')
  replacedAt!: Date;

  @Column('double precision')
  oldFinalValue!: number;

  @Column('text')
  oldUnit!: ReadingUnit;

  @Column('double precision')
  newInitialValue!: number;

  @Column('text')
  newUnit!: ReadingUnit;

  @Column('text', { nullable: true })
  note!: string | null;

  @Column('text', { nullable: true })
  externalKey!: string | null;

  @Column('timestamptz', { default: () => 'now()' })
  recordedAt!: Date;
}
