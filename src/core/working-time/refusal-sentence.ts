import { DateTime } from 'luxon';
import { addDays, type CalendarDate } from '../shared/calendar-date';
import { SlotRefusal } from './check-slot';
import { Period } from './instant-set';

/**
 * What is in the way, as a front desk would tell a caller, on the clock of the workshop.
 *
 * @param nameOf name of a bay or a person
 * @param zone IANA name
 */
export function refusalSentence(refusal: SlotRefusal, nameOf: (id: string) => string, zone: string): string {
  switch (refusal.kind) {
    case 'shut':
      return `The workshop is shut at ${moment(refusal.at, zone)}.`;
    case 'off-shift':
      return `${nameOf(refusal.technicianId)} is off shift at ${moment(refusal.at, zone)}.`;
    case 'too-long':
      return refusal.vehicleStay === 'not-at-all'
        ? `${refusal.minutes} minutes of work do not fit before the workshop shuts or a shift ends.`
        : `${refusal.minutes} minutes of work do not fit, and the vehicle may ${
            refusal.vehicleStay === 'over-breaks' ? 'stay over breaks only' : 'not stay that long'
          }.`;
    case 'bay-kinds':
      return `${nameOf(refusal.bayId)} is no bay for ${refusal.missing.join(' and ')}.`;
    case 'bay-closed':
      return `${nameOf(refusal.bayId)} is closed ${span(refusal.period, zone)}.`;
    case 'bay-taken':
      return `${nameOf(refusal.bayId)} is taken ${span(refusal.period, zone)}.`;
    case 'absent':
      return `${nameOf(refusal.technicianId)} is absent ${span(refusal.period, zone)}.`;
    case 'person-taken':
      return `${nameOf(refusal.technicianId)} is on another job ${span(refusal.period, zone)}.`;
    case 'vehicle-taken':
      return `The vehicle is booked elsewhere ${span(refusal.period, zone)}.`;
    case 'competences': {
      const ended =
        refusal.endedOn === null ? '' : ` (the last day was ${day(addDays(refusal.endedOn, -1))})`;
      return `Nobody named has ${refusal.competences.join(' and ')} until the work ends${ended}.`;
    }
    case 'too-few-people':
      return `The work needs ${refusal.needed} people.`;
  }
}

const DAY = 'ccc d LLL yyyy';

const day = (on: CalendarDate): string => DateTime.fromISO(on, { locale: 'en-GB' }).toFormat(DAY);

function moment(at: number, zone: string): string {
  return localTime(at, zone).toFormat(`${DAY}, HH:mm`);
}

function span({ startsAt, endsAt }: Period, zone: string): string {
  const until = localTime(endsAt, zone);
  const sameDay = localTime(startsAt, zone).hasSame(until, 'day');
  return `from ${moment(startsAt, zone)} to ${sameDay ? until.toFormat('HH:mm') : moment(endsAt, zone)}`;
}

function localTime(at: number, zone: string): DateTime {
  return DateTime.fromMillis(at, { zone, locale: 'en-GB' });
}
