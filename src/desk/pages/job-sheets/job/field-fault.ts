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
    const title = steps.find(({ key }) => key === named)?.title ?? '';
    return {
      stepKey: named ?? null,
      field: field === 'key' ? null : field,
      // it stands at the step: its title need not be said again
      detail: detail.startsWith(`${title}: `) ? detail.slice(title.length + 2) : detail,
      remedy,
    };
  });
}

/** What is wrong and what to do about it, as two sentences. */
export function faultText({ detail, remedy }: Pick<EntryFault, 'detail' | 'remedy'>): string {
  return [detail, remedy]
    .map((text) => `${text.charAt(0).toUpperCase()}${text.slice(1).replace(/\.$/, '')}.`)
    .join(' ');
}
