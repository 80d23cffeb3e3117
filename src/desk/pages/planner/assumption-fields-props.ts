import type { Assumption } from './assumption-words';
import type { DowntimePlan } from './plan-words';

/** What fields of one kind of assumption give up: null while something is missing. */
export interface AssumptionFieldsProps {
  plan: DowntimePlan;
  onChange: (assumption: Assumption | null) => void;
}
