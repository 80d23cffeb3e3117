import type { SheetStep } from '../../core/job-sheet/job-sheet';
import type { FieldError } from '../../platform/errors/coded-error';

// What keeps a result has names of its own for some fields of an entry.
const ENTRY_FIELD: Readonly<Record<string, string>> = {
  readAt: 'doneAt',
  unitId: 'key',
  task: 'key',
  vehicleKey: 'key',
  unitKey: 'key',
  externalKey: 'key',
};

/** What is wrong with a result, in the fields of the entry that it came from; each thing once. */
export function entryFaults(
  step: SheetStep,
  errors: readonly FieldError[],
  pointerOf: (key: string, field: string) => string,
): FieldError[] {
  const faults = errors.map(({ pointer, detail, remedy }) => ({
    pointer: pointerOf(step.key, fieldOf(step, pointer?.replace(/^#\//, '') ?? 'key')),
    detail: `${step.title}: ${detail}`,
    remedy,
  }));
  return [...new Map(faults.map((fault) => [`${fault.pointer} ${fault.detail}`, fault])).values()];
}

function fieldOf({ kind }: SheetStep, field: string): string {
  if (kind === 'inspection') return 'found';
  if (kind === 'odometer-reading' && (field === 'value' || field === 'unit')) return 'odometer';
  return ENTRY_FIELD[field] ?? field;
}
