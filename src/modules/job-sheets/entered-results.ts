import type { JobSheet } from '../../core/job-sheet/job-sheet';
import type { FieldError } from '../../platform/errors/coded-error';
import type { UpdateJobSheetDto } from './dto/write-job-sheet.dto';
import type { JobSheetRecord } from './job-sheet-record.entity';
import { enteredTwice, noSuchStep } from './job-sheets.errors';
import type { StepEntry } from './step-entry';

/** Whether a gas unit was exchanged at a step that is about one. */
export function exchangesUnit(
  { steps }: JobSheet,
  entries: readonly Pick<StepEntry, 'key' | 'exchange'>[],
): boolean {
  const ofUnits = steps.filter(({ kind }) => kind === 'precharge-test' || kind === 'charge');
  return entries.some(
    ({ key, exchange }) => (exchange ?? null) !== null && ofUnits.some((step) => step.key === key),
  );
}

/** Entries of steps that the sheet does not have, or that have another entry. */
export function keyFaults({ sheet }: JobSheetRecord, { entries }: UpdateJobSheetDto): FieldError[] {
  const keys = (entries ?? []).map(({ key }) => key);
  return keys.flatMap((key, place) => {
    if (!sheet.steps.some((step) => step.key === key)) return [noSuchStep(place, key)];
    return keys.indexOf(key) < place ? [enteredTwice(place, key)] : [];
  });
}

/** Puts what was entered into a sheet, in the order of its steps. */
export function entered(record: JobSheetRecord, { entries, partsUsed, workFound }: UpdateJobSheetDto): void {
  if (entries !== undefined) {
    const byKey = new Map<string, StepEntry>(record.entries.map((entry) => [entry.key, entry]));
    for (const entry of entries) byKey.set(entry.key, JSON.parse(JSON.stringify(entry)) as StepEntry);
    record.entries = record.sheet.steps.flatMap(({ key }) => byKey.get(key) ?? []);
  }
  if (partsUsed !== undefined) record.partsUsed = partsUsed;
  if (workFound !== undefined)
    record.workFound = workFound.map(({ title, note, urgent }) => ({ title, note: note ?? null, urgent }));
}
