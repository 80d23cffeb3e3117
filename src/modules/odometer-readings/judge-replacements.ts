import { localDateAt, toEpochDay } from '../../core/shared/calendar-date';
import { formatInstant } from '../../core/shared/instant';
import type { Judgement, Suspicion } from '../../core/usage/plausibility';
import { noSuchVehicle } from '../../platform/bulk/planned-row';
import type { FieldError } from '../../platform/errors/coded-error';
import { MeterJudge } from './meter-judge';
import type { HistoryReplacement, VehicleHistory } from './vehicle-history';

/** A replacement of an instrument that somebody wants to record. */
export type ReplacementCandidate = Omit<HistoryReplacement, 'day'> & {
  vehicleId: string;
  /** instant of the replacement on file that it takes the place of */
  correctsAt: number | null;
};

/**
 * What stands against each candidate: an instant to come, an old instrument that would end below its readings
 * or a new one that would start above its own, or a distance that no vehicle covers between them. Candidates
 * are taken by instant; one that nothing stands against is on file for those after it.
 */
export function judgeReplacements(
  candidates: readonly ReplacementCandidate[],
  histories: readonly VehicleHistory[],
  now: number,
): FieldError[][] {
  const historyOf = new Map(histories.map((history) => [history.vehicleId, history]));
  const errors: FieldError[][] = candidates.map(() => []);
  const inOrder = candidates
    .map((candidate, place) => ({ candidate, place }))
    .sort((a, b) => a.candidate.at - b.candidate.at || a.place - b.place);
  for (const { candidate, place } of inOrder) {
    const { vehicleId, correctsAt, ...replacement } = candidate;
    const history = historyOf.get(vehicleId);
    if (history === undefined) {
      errors[place] = [noSuchVehicle(vehicleId)];
      continue;
    }
    const others = history.replacements.filter(
      ({ meter, at }) => meter !== replacement.meter || at !== correctsAt,
    );
    const day = toEpochDay(localDateAt(replacement.at, history.zone));
    const replacements = [...others, { ...replacement, day }].sort((a, b) => a.at - b.at);
    const changed = { ...history, replacements };
    const found = errorsOf(new MeterJudge(changed, replacement.meter, now), replacement);
    errors[place] = found;
    if (found.length === 0) historyOf.set(vehicleId, changed);
  }
  return errors;
}

const ABOUT_THE_PAST: readonly Suspicion[] = ['below-previous', 'above-daily-maximum'];
const ABOUT_WHAT_FOLLOWS: readonly Suspicion[] = ['above-next', 'next-above-daily-maximum'];

function errorsOf(judge: MeterJudge, { at }: Omit<HistoryReplacement, 'day'>): FieldError[] {
  const { oldFinal, newInitial } = judge.judgeReplacement(at);
  if (oldFinal.suspicions.includes('future-instant')) {
    return [
      {
        pointer: '#/replacedAt',
        detail: `${formatInstant(at)} is still to come`,
        remedy: 'record a replacement once it has been done',
      },
    ];
  }
  return [
    ...refusals(oldFinal, ABOUT_THE_PAST, '#/oldFinalValue', 'the last value of the old instrument'),
    ...refusals(newInitial, ABOUT_WHAT_FOLLOWS, '#/newInitialValue', 'the first value of the new instrument'),
  ];
}

function refusals(
  { suspicions, sentences }: Judgement,
  relevant: readonly Suspicion[],
  pointer: string,
  what: string,
): FieldError[] {
  return suspicions.flatMap((suspicion, index) =>
    relevant.includes(suspicion)
      ? [
          {
            pointer,
            detail: sentences[index] ?? suspicion,
            remedy: `correct ${what} or the instant, or reject the reading that contradicts it first`,
          },
        ]
      : [],
  );
}
