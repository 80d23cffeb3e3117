import { addDays } from '../../core/shared/calendar-date';
import type { ItemExplanation, Relaxation } from '../../core/downtime-plan/explain-plan';
import { inUnits } from '../../core/shared/money';
import { BAYS, bayKindsOf, competencesOf, PEOPLE } from './plan-resources';

/** `Bay time`, `Working time of people competent in hydraulics` … */
export function resourceInWords(resource: string): string {
  if (resource === BAYS) return 'Bay time';
  if (resource === PEOPLE) return 'Working time of people';
  const kinds = bayKindsOf(resource);
  if (kinds !== null)
    return `Time of bays of the ${kinds.length === 1 ? 'kind' : 'kinds'} ${listInWords(kinds)}`;
  return `Working time of people competent in ${listInWords(competencesOf(resource) ?? [])}`;
}

const LIST = new Intl.ListFormat('en-GB', { type: 'conjunction' });

/** `brakes, hydraulics and steering` */
export function listInWords(words: readonly string[]): string {
  return LIST.format(words);
}

/** What would have to be otherwise. */
export function relaxationInWords(relaxation: Relaxation): string {
  switch (relaxation.kind) {
    case 'resource':
      return `more ${resourceInWords(relaxation.resource).toLowerCase()}`;
    case 'roster':
      return 'more vehicles that the depot can spare';
    case 'blackout':
      return 'days on which this vehicle has to stay on the road';
    case 'everything':
      return 'more of several things at once';
  }
}

/** `1234` hundredths are `EUR 12.34`. */
export function moneyInWords(hundredths: number, currency: string): string {
  return `${currency} ${inUnits(hundredths)}`;
}

/** Why an item is not on the day it is due, with what it hangs on. */
export function explanationInWords(
  { because, dueDay, plannedDay, relaxations }: ItemExplanation,
  fromOn: string,
  currency: string,
): string {
  const due = addDays(fromOn, dueDay);
  switch (because) {
    case 'on-due-day':
      return 'Done on the day it is due.';
    case 'due-day-outside-window':
      return dueDay < 0
        ? `It was due on ${due}, before the plan begins.`
        : `It may not be done on ${due}, the day it is due.`;
    case 'closed-on-due-day':
      return `No workshop within reach is open on ${due}, the day it is due.`;
    case 'cheaper-this-way':
      return plannedDay === null
        ? 'Leaving it out costs least, even if nothing ran short.'
        : `Sharing a visit and giving days away costs less than a visit nearer to ${due} would, even if nothing ran short.`;
    case 'runs-short': {
      const [best] = relaxations;
      if (best === undefined) return '';
      const then = best.dayThen === null ? '' : ` it would be done on ${addDays(fromOn, best.dayThen)} and`;
      const what = relaxationInWords(best.relaxed);
      const given = best.relaxed.kind === 'blackout' ? `Without the ${what}` : `With ${what}`;
      return `${given}${then} the vehicle's plan would cost ${moneyInWords(best.saves, currency)} less.`;
    }
  }
}
