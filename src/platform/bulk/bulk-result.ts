import type { FieldError } from '../errors/coded-error';

export const bulkOutcomes = ['created', 'updated', 'unchanged', 'quarantined', 'rejected'] as const;
export type BulkOutcome = (typeof bulkOutcomes)[number];

/** What became of one record of a batch; the others are not affected by it. */
export interface BulkResult {
  outcome: BulkOutcome;
  subjectId: string | null;
  errors: FieldError[];
}

export function bulkRejected(...errors: FieldError[]): BulkResult {
  return { outcome: 'rejected', subjectId: null, errors };
}
