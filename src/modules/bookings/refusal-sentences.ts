import type { SlotRefusal } from '../../core/working-time/check-slot';
import { refusalSentence } from '../../core/working-time/refusal-sentence';

/** Why a time cannot be had, in the words of a front desk, on the workshop's clock. */
export function refusalSentences(
  refusals: readonly SlotRefusal[],
  names: ReadonlyMap<string, string>,
  zone: string,
): string[] {
  return refusals.map((refusal) => refusalSentence(refusal, (id) => names.get(id) ?? id, zone));
}
