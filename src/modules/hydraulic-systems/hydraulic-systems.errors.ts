import {
  isRecorded,
  LAYOUT_FACTS,
  type HydraulicLayout,
  type LayoutEvidenceByFact,
} from '../../core/hydraulics/hydraulic-layout';
import type { LayoutContradiction } from '../../core/hydraulics/layout-conclusions';
import type { CalendarDate } from '../../core/shared/calendar-date';
import { CodedError, type FieldError } from '../../platform/errors/coded-error';

/** Both fields of each contradiction, because nobody knows which of the two is wrong. */
export function contradictionFields(contradictions: readonly LayoutContradiction[]): FieldError[] {
  return contradictions.flatMap(({ fields, reason, remedy }) =>
    fields.map((field) => ({ pointer: `#/${field}`, detail: reason, remedy })),
  );
}

export function contradictoryLayout(contradictions: readonly LayoutContradiction[]): CodedError {
  const [first] = contradictions;
  return new CodedError(
    'contradictory-layout',
    contradictions.length === 1 && first !== undefined
      ? `Nothing was stored: ${first.reason}.`
      : `Nothing was stored: the recorded facts contradict each other in ${contradictions.length} ways.`,
    contradictionFields(contradictions),
    { contradictions },
  );
}

/** Evidence of a fact that is not recorded, and evidence from the future. */
export function evidenceFaults(
  layout: HydraulicLayout,
  evidence: LayoutEvidenceByFact,
  todayOn: CalendarDate,
): FieldError[] {
  return LAYOUT_FACTS.flatMap((fact): FieldError[] => {
    const seen = evidence[fact];
    if (seen === undefined) return [];
    if (!isRecorded(layout, fact)) {
      return [
        {
          pointer: `#/evidence/${fact}`,
          detail: `somebody has seen ${fact}, but it is recorded as unverified`,
          remedy: 'record what was seen, or leave this evidence out',
        },
      ];
    }
    if (seen.seenOn <= todayOn) return [];
    return [seenInTheFuture(`#/evidence/${fact}/seenOn`, seen.seenOn, todayOn)];
  });
}

export function seenInTheFuture(pointer: string, seenOn: CalendarDate, todayOn: CalendarDate): FieldError {
  return {
    pointer,
    detail: `${seenOn} is after today, ${todayOn} at the vehicle's depot`,
    remedy: 'give the day on which it was seen',
  };
}
