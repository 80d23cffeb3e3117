import type { DowntimePlan } from './downtime-plan.entity';
import { notReady } from './downtime-plans.errors';
import type { PlanOutcome } from './plan-outcome';

/** @throws CodedError where there is none yet, or the plan failed */
export function requiredOutcome({ outcome, state }: Pick<DowntimePlan, 'outcome' | 'state'>): PlanOutcome {
  if (outcome === null) throw notReady(state);
  return outcome;
}
