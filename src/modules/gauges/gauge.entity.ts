import { Check, Column, Entity, ForeignKey, Unique } from 'typeorm';
import { TimestampedRecord } from '../../platform/database/tenant-record';

/** What has to be known of a gauge to believe a pressure that was read on it. */
export type ReadGauge = Pick<Gauge, 'id' | 'code' | 'rangeHighBarGauge' | 'calibrationDueOn' | 'retiredOn'>;

/** A pressure gauge of a test rig. */
@Entity('gauges')
@Unique('gauges_code_key', ['organisationId', 'code'])
@Check('gauges_range_check', `range_high_bar_gauge > 0`)
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], { name: 'gauges_organisation_fkey' })
export class Gauge extends TimestampedRecord {
  /** what is written on it */
  @Column('text')
  code!: string;

  @Column('text')
  name!: string;

  @Column('double precision')
  rangeHighBarGauge!: number;

  @Column('date', { nullable: true })
  calibrationDueOn!: string | null;

  @Column('date', { nullable: true })
  retiredOn!: string | null;
}
