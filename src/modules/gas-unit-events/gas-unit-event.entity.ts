import { Check, Column, Entity, ForeignKey, Index, Unique } from 'typeorm';
import type { TestOutcome } from '../../core/hydraulics/judge-findings';
import type { PrechargeObservationKind } from '../../core/precharge/precharge-model';
import { VoidableRecord } from '../../platform/database/voidable-record';

/** The limits that a precharge was judged by, as they stood then. */
export interface PrechargeLimits {
  nominal20BarGauge: number;
  /** below it the unit has to be recharged; null where no rule sets a limit */
  limit20BarGauge: number | null;
  /** code of the rule that set the limit */
  ruleCode: string | null;
}

/** A pressure and a temperature read on a unit, in a test or at the end of a charge. */
@Entity('gas_unit_events')
@Unique('gas_unit_events_external_key_key', ['organisationId', 'externalKey'])
@Index('gas_unit_events_unit_idx', ['organisationId', 'unitId', 'doneAt'])
@Check('gas_unit_events_kind_check', `kind IN ('precharge-test', 'charge')`)
@Check('gas_unit_events_outcome_check', `outcome IN ('passed', 'failed', 'inconclusive')`)
@Check('gas_unit_events_place_check', `(vehicle_id IS NULL) = (position IS NULL)`)
@ForeignKey('GasUnit', ['organisationId', 'fleetId', 'unitId'], ['organisationId', 'fleetId', 'id'], {
  name: 'gas_unit_events_unit_fkey',
  onUpdate: 'CASCADE',
})
@ForeignKey('Vehicle', ['organisationId', 'vehicleId'], ['organisationId', 'id'], {
  name: 'gas_unit_events_vehicle_fkey',
})
@ForeignKey('Gauge', ['organisationId', 'gaugeId'], ['organisationId', 'id'], {
  name: 'gas_unit_events_gauge_fkey',
})
export class GasUnitEvent extends VoidableRecord {
  @Column('uuid')
  fleetId!: string;

  @Column('uuid')
  unitId!: string;

  /** where the unit was fitted then; null on the bench */
  @Column('uuid', { nullable: true })
  vehicleId!: string | null;

  @Column('text', { nullable: true })
  position!: string | null;

  @Column('text')
  kind!: PrechargeObservationKind;

  @Column('timestamptz')
  doneAt!: Date;

  /** as the gauge showed it */
  @Column('double precision')
  pressureBarGauge!: number;

  @Column('double precision')
  gasTemperatureC!: number;

  /** absolute pressure of the air around the gauge */
  @Column('double precision')
  ambientBar!: number;

  @Column('double precision', { nullable: true })
  altitudeM!: number | null;

  @Column('double precision')
  precharge20BarGauge!: number;

  /** by the ideal-gas law, beside the real one for comparison */
  @Column('double precision')
  idealPrecharge20BarGauge!: number;

  @Column('text')
  outcome!: TestOutcome;

  @Column('jsonb')
  outcomeReasons!: string[];

  @Column('jsonb')
  limits!: PrechargeLimits;

  @Column('uuid', { nullable: true })
  gaugeId!: string | null;

  /** whether the gauge's calibration was overdue then; null where the gauge or its date is unknown */
  @Column('boolean', { nullable: true })
  gaugeOverdue!: boolean | null;

  @Column('text')
  doneBy!: string;

  @Column('text', { nullable: true })
  note!: string | null;

  @Column('text', { nullable: true })
  externalKey!: string | null;
}
