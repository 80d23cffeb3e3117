import { Check, Column, Entity, Index, Unique } from 'typeorm';
import { VoidableRecord } from '../../platform/database/voidable-record';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';

@Entity('task_completions')
@Unique('task_completions_external_key_key', ['organisationId', 'externalKey'])
@Index('task_completions_vehicle_idx', ['organisationId', 'vehicleId', 'doneOn'])
@Check('task_completions_odometer_check', `(odometer_value IS NULL) = (odometer_unit IS NULL)`)
@Check('task_completions_outcome_check', `outcome IN ('done', 'failed')`)
@VehicleForeignKey('task_completions_vehicle_fkey')
export class TaskCompletion extends VoidableRecord {
  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  fleetId!: string;

  @Column('text')
  task!: string;

  @Column('text', { nullable: true })
  position!: string | null;

  @Column('date')
  doneOn!: string;

  /** a test that `failed` has to be done again */
  @Column('text', { default: 'done' })
  outcome!: 'done' | 'failed';

  /** as the instrument showed it */
  @Column('double precision', { nullable: true })
  odometerValue!: number | null;

  @Column('text', { nullable: true })
  odometerUnit!: 'km' | 'mi' | null;

  @Column('double precision', { nullable: true })
  engineHours!: number | null;

  @Column('text', { nullable: true })
  doneBy!: string | null;

  @Column('text', { nullable: true })
  note!: string | null;

  @Column('text', { nullable: true })
  externalKey!: string | null;
}
