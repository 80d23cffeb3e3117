import { Check, Column, Entity, ForeignKey, PrimaryColumn } from 'typeorm';

export interface StoredTaskValue {
  task: string;
  valueMinor: number;
}

/** What a downtime plan weighs against each other, in money; one row for each organisation that has set it. */
@Entity('planning_settings')
@Check('planning_settings_currency_check', `currency ~ '^[A-Z]{3}$'`)
@Check(
  'planning_settings_amounts_check',
  `visit_loss_minor >= 0 AND value_per_item_minor >= 0 AND risk_per_late_day_safety_critical_minor >= 0
    AND risk_per_late_day_other_minor >= 0 AND left_out_minor > visit_loss_minor`,
)
@Check('planning_settings_horizon_check', `horizon_days BETWEEN 7 AND 366`)
@ForeignKey('Organisation', ['organisationId'], ['organisationId'], {
  name: 'planning_settings_organisation_fkey',
})
export class PlanningSettings {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @Column('text')
  currency!: string;

  @Column('integer')
  visitLossMinor!: number;

  @Column('integer')
  valuePerItemMinor!: number;

  @Column('jsonb')
  valueByTask!: StoredTaskValue[];

  @Column('integer')
  riskPerLateDaySafetyCriticalMinor!: number;

  @Column('integer')
  riskPerLateDayOtherMinor!: number;

  @Column('integer')
  leftOutMinor!: number;

  @Column('integer')
  horizonDays!: number;

  @Column('integer', { default: 1 })
  revision!: number;
}
