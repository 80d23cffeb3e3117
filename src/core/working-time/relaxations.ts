import { WeeklyWindows } from './opening-pattern';
import { DiaryQuestion, Technician, Workshop } from './workshop';

/** A question and the workshops that it is put to. */
export interface Setting {
  readonly workshops: readonly Workshop[];
  readonly question: DiaryQuestion;
}

const WHOLE_DAY = [{ from: '00:00', until: '24:00' }];
const ALWAYS: WeeklyWindows = {
  1: WHOLE_DAY,
  2: WHOLE_DAY,
  3: WHOLE_DAY,
  4: WHOLE_DAY,
  5: WHOLE_DAY,
  6: WHOLE_DAY,
  7: WHOLE_DAY,
};

/** The same question without a competence. */
export function relaxCompetence({ workshops, question }: Setting, competence: string): Setting {
  const needed = question.job.needed.map(({ competences }) => ({
    competences: competences.filter((code) => code !== competence),
  }));
  return { workshops, question: { ...question, job: { ...question.job, needed } } };
}

/** The same question with one more bay of the kind in each workshop, free throughout. */
export function relaxBayKind({ workshops, question }: Setting): Setting {
  const bay = { id: 'one more', kinds: question.job.bayKinds, closures: [], busy: [] };
  return {
    workshops: workshops.map((workshop) => ({ ...workshop, bays: [...workshop.bays, bay] })),
    question,
  };
}

/** The same question with enough people more in each workshop, able to do everything, there while it is open. */
export function relaxTechnicians({ workshops, question }: Setting): Setting {
  const codes = new Set(question.job.needed.flatMap(({ competences }) => competences));
  const technicians = Array.from({ length: Math.max(1, question.job.needed.length) }, (_, i): Technician => ({
    id: `one more ${i}`,
    competences: [...codes].map((code) => ({ code, untilOn: null })),
    shifts: ALWAYS,
    shiftExceptions: [],
    absences: [],
    busy: [],
  }));
  return {
    workshops: workshops.map((workshop) => ({
      ...workshop,
      technicians: [...workshop.technicians, ...technicians],
    })),
    question,
  };
}

/** The same question for a vehicle that can come at any time. */
export function relaxVehicle({ workshops, question }: Setting): Setting {
  return { workshops, question: { ...question, vehicleBusy: [] } };
}

/** The same question with workshops that never shut; shifts stay as they are. */
export function relaxOpening({ workshops, question }: Setting): Setting {
  return {
    workshops: workshops.map((workshop) => ({
      ...workshop,
      opening: { zone: workshop.opening.zone, weekly: ALWAYS },
    })),
    question,
  };
}
