import type { Schemas } from '../../../api/client';
import { instantOf, localMoment } from '../../../format/days';
import { textOrNull } from '../parts/typed';

type Absence = Schemas['AbsenceDto'];

/** A time at which a bay is closed or somebody is away, on the workshop's clock. */
export interface TypedAbsence {
  from: string;
  until: string;
  reason: string;
}

export const shownAbsences = (absences: readonly Absence[], zone: string): TypedAbsence[] =>
  absences.map(({ startsAt, endsAt, reason }) => ({
    from: localMoment(startsAt, zone),
    until: localMoment(endsAt, zone),
    reason: reason ?? '',
  }));

export const typedAbsences = (absences: readonly TypedAbsence[], zone: string): Absence[] =>
  absences.map(({ from, until, reason }) => ({
    startsAt: instantOf(from, zone),
    endsAt: instantOf(until, zone),
    reason: textOrNull(reason),
  }));
