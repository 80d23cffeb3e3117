import type { components } from '../../generated/contract';

type Schemas = components['schemas'];
export type Assumption = Schemas['PlanAssumptionDto'];
export type AssumptionKind = Assumption['kind'];

export const ASSUMPTION_KINDS: Record<AssumptionKind, string> = {
  'more-technicians': 'More people at a workshop',
  'bay-closed': 'A bay is closed',
  'roster-need': 'A depot needs more or fewer vehicles',
  'later-limit': 'A late limit is moved',
};

/** What is assumed, in a sentence; ids are told by the names of their records. */
export function assumptionWords(
  assumption: Assumption,
  nameOf: (id: string) => string | undefined,
  dayText: (on: string) => string,
): string {
  const named = (id: string | undefined): string => nameOf(id ?? '') ?? 'a record that is gone';
  switch (assumption.kind) {
    case 'more-technicians': {
      const { count = 0, competences = [], workshopId } = assumption;
      const can = competences.length === 0 ? '' : ` competent in ${competences.join(', ')}`;
      return `${count} ${count === 1 ? 'person' : 'people'} more at ${named(workshopId)}${can}`;
    }
    case 'bay-closed': {
      const { workshopId, bayId, fromOn = '', untilOn = '' } = assumption;
      return `${named(bayId)} at ${named(workshopId)} closed from ${dayText(fromOn)}, open again ${dayText(untilOn)}`;
    }
    case 'roster-need': {
      const { depotId, change = 0 } = assumption;
      const count = Math.abs(change);
      return `${named(depotId)} needs ${count} ${count === 1 ? 'vehicle' : 'vehicles'} ${change < 0 ? 'fewer' : 'more'} each day`;
    }
    case 'later-limit': {
      const { task = '', days = 0 } = assumption;
      const count = Math.abs(days);
      return `${task} may be ${count} ${count === 1 ? 'day' : 'days'} ${days < 0 ? 'less late' : 'later'}`;
    }
  }
}
