import { Check, Column, Entity, ForeignKey, Index, Unique } from 'typeorm';
import { VoidableRecord } from '../../platform/database/voidable-record';
import type { TestOutcome } from '../../core/hydraulics/judge-findings';
import { VehicleForeignKey } from '../../platform/database/vehicle-foreign-key';

/** A test of a vehicle's hydraulic system: what was measured, by which limits it was judged, and the answer. */
@Entity('system_tests')
@Unique('system_tests_external_key_key', ['organisationId', 'externalKey'])
@Index('system_tests_vehicle_idx', ['organisationId', 'vehicleId', 'doneAt'])
@Check('system_tests_outcome_check', `outcome IN ('passed', 'failed', 'inconclusive')`)
@VehicleForeignKey('system_tests_vehicle_fkey')
@ForeignKey('Gauge', ['organisationId', 'gaugeId'], ['organisationId', 'id'], {
  name: 'system_tests_gauge_fkey',
})
export class SystemTest extends VoidableRecord {
  @Column('uuid')
  vehicleId!: string;

  @Column('uuid')
  fleetId!: string;

  /** the task that it is a completion of */
  @Column('text')
  task!: string;

  @Column('timestamptz')
  doneAt!: Date;

  @Column('jsonb')
  measured!: object;

  @Column('jsonb')
  limits!: object;

  @Column('text')
  outcome!: TestOutcome;

  @Column('jsonb')
  outcomeReasons!: string[];

  /** what follows from the figures, such as the diagnosis of a stopwatch test */
  @Column('jsonb')
  findings!: object;

  @Column('double precision', { nullable: true })
  ambientTemperatureC!: number | null;

  @Column('double precision', { nullable: true })
  altitudeM!: number | null;

  @Column('uuid', { nullable: true })
  gaugeId!: string | null;

  @Column('boolean', { nullable: true })
  gaugeOverdue!: boolean | null;

  @Column('text')
  doneBy!: string;

  @Column('text', { nullable: true })
  note!: string | null;

  @Column('text', { nullable: true })
  externalKey!: string | null;
}
