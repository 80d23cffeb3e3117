import { explainNothingFree, NothingFree } from './explain-nothing-free';
import { Diary, prepareDiary } from './prepare-diary';
import { searchDiary } from './search-diary';
import { DiaryQuestion, Slot, Workshop } from './workshop';

export interface SlotQuestion extends DiaryQuestion {
  readonly workshops: readonly Workshop[];
  /**
   * How far to look for the first date on which the job would fit, where nothing is free in the range. The
   * bookings handed in must reach as far.
   */
  readonly searchUntilAt: number;
}

export interface SlotAnswer {
  readonly slots: readonly Slot[];
  /** Null where there is at least one slot. */
  readonly nothingFree: NothingFree | null;
}

/**
 * The first slots for a job (see `searchDiary`), or what is in the way and when it would fit.
 *
 * @param diary made of the same workshops, where it is at hand; it covers the range
 * @throws InputError as `prepareDiary` and `searchDiary`
 */
export function findSlots(
  question: SlotQuestion,
  diary: Diary = prepareDiary(question.workshops, question.fromAt, question.untilAt),
): SlotAnswer {
  const slots = searchDiary(diary, question);
  if (slots.length > 0) return { slots, nothingFree: null };
  const { workshops, searchUntilAt } = question;
  return { slots, nothingFree: explainNothingFree(workshops, diary, question, searchUntilAt) };
}
