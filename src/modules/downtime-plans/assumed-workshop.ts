import { startOfLocalDay } from '../../core/shared/calendar-date';
import { differenceOf } from '../../core/working-time/instant-set';
import type { PreparedPerson, PreparedWorkshop } from '../../core/working-time/prepare-diary';
import type { PlanInputs } from './plan-inputs';

const ASSUMED_PERSON = 'assumed technician ';

/** A workshop with technicians more, who are there whenever it is open, or without a bay for some days, as assumed. */
export function assumedWorkshop(
  { assumptions }: Pick<PlanInputs, 'assumptions'>,
  prepared: PreparedWorkshop,
): PreparedWorkshop {
  const { workshop } = prepared;
  let { bays, people } = prepared;
  for (const each of assumptions) {
    if (each.kind === 'more-technicians' && each.workshopId === workshop.id) {
      const more = Array.from({ length: each.count }, (_, at) =>
        assumedPerson(prepared, `${ASSUMED_PERSON}${people.length + at + 1}`, each.competences),
      );
      people = [...people, ...more];
    }
    if (each.kind === 'bay-closed' && each.workshopId === workshop.id) {
      const { zone } = workshop.opening;
      const closed = [startOfLocalDay(each.fromOn, zone), startOfLocalDay(each.untilOn, zone)];
      bays = bays.map(({ bay, free }) => ({
        bay,
        free: bay.id === each.bayId ? differenceOf(free, closed) : free,
      }));
    }
  }
  return { ...prepared, bays, people };
}

export function isAssumed(technicianId: string): boolean {
  return technicianId.startsWith(ASSUMED_PERSON);
}

function assumedPerson(
  { workshop, open, people }: PreparedWorkshop,
  id: string,
  competences: readonly string[],
): PreparedPerson {
  return {
    technician: {
      id,
      competences: competences.map((code) => ({ code, untilOn: null })),
      shifts: workshop.opening.weekly,
      shiftExceptions: [],
      absences: [],
      busy: [],
    },
    onShift: open,
    // nobody else's: who has the same hours is in one group
    shiftGroup: Math.max(-1, ...people.map(({ shiftGroup }) => shiftGroup)) + 1,
    free: open,
    competentUntil: new Map(competences.map((code) => [code, Infinity])),
  };
}
