import { Column, Entity, ForeignKey, PrimaryColumn } from 'typeorm';
import type { CalibratedUsageModel } from '../../core/usage/back-test';
import type { UsageModel } from '../../core/usage/usage-model';

/** How the vehicles of a fleet and duty class use a meter, as last fitted, and how well that held. */
@Entity('usage_models')
@ForeignKey('Fleet', ['organisationId', 'fleetId'], ['organisationId', 'id'], {
  name: 'usage_models_fleet_fkey',
})
export class UsageModelRecord {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid')
  fleetId!: string;

  @PrimaryColumn('text')
  meter!: 'odometer' | 'engine-hours';

  @PrimaryColumn('text')
  dutyClass!: string;

  @Column('jsonb')
  model!: UsageModel;

  @Column('jsonb')
  backTest!: Omit<CalibratedUsageModel, 'model'>;

  @Column('timestamptz', { default: () => 'now()' })
  fittedAt!: Date;
}
