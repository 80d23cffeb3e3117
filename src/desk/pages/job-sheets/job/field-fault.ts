import type { FieldFault } from '../../../api/problem';
import type { Completion, Sheet, SheetChanges } from './kept-job';

/** What is wrong with what was sent, at the place where it was entered. */
export interface EntryFault {
  /** null: not about a step */
  stepKey: string | null;
  /** of the entry; without a step the path in what was sent, such as `signedOffBy`; null: the whole */
  field: string | null;
  detail: string;
  remedy: string;
}

/** Turns the pointers of a refusal into steps and fields. */
export function entryFaults(
  faults: readonly FieldFault[],
  sent: SheetChanges | Completion,
  { steps }: Sheet,
): EntryFault[] {
  return faults.map(({ detail, remedy, ...where }) => {
    const path = ('pointer' in where ? (where.pointer ?? '') : '').replace(/^#\//, '');
    const [part, place, field = null] = path.split('/');
    if (part !== 'entries') return { stepKey: null, field: path === '' ? null : path, detail, remedy };
    const named =
      place === undefined
        ? steps.find(({ key }) => detail.includes(`(${key})`))?.key
        : sent.entries?.[Number(place)]?.key;
    return { stepKey: named ?? null, field: field === 'key' ? null : field, detail, remedy };
  });
}
