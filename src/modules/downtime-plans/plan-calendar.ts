import { escape, ICalCalendar, ICalEventStatus } from 'ical-generator';
import { addDays } from '../../core/shared/calendar-date';
import { plainText } from '../../platform/pictures/plain-text';
import type { ListedVisit } from './plan-views';

const TITLES_IN_SUMMARY = 3;
const LONGEST_TEXT = 200;

/**
 * A plan as a calendar by RFC 5545: an event of whole days for each visit, confirmed where it is booked and tentative
 * where not. A visit keeps its UID from one file to the next.
 *
 * @param stampedAt when it was made, milliseconds since the epoch
 */
export function planCalendar(
  visits: readonly ListedVisit[],
  { name, stampedAt }: { name: string; stampedAt: number },
): string {
  const calendar = new ICalCalendar({
    // the one text that the library writes as it is
    name: escape(inOneLine(name), false),
    prodId: { company: 'Precharge', product: 'Downtime plan', language: 'EN' },
  });
  for (const visit of visits)
    calendar.createEvent({
      id: `${visit.id}@precharge`,
      stamp: new Date(stampedAt),
      // a date without a time, which the library reads as one of UTC and writes so
      start: visit.on,
      // the day after the last one
      end: addDays(visit.untilOn, 1),
      allDay: true,
      summary: summaryOf(visit),
      location: inOneLine(visit.workshop),
      description: descriptionOf(visit),
      status: visit.bookingId === null ? ICalEventStatus.TENTATIVE : ICalEventStatus.CONFIRMED,
    });
  // the library leaves the last line without its end
  return `${calendar.toString()}\r\n`;
}

function summaryOf({ vehicle, items }: ListedVisit): string {
  const titles = [...new Set(items.map(({ title }) => inOneLine(title)))];
  if (titles.length === 0) return inOneLine(vehicle);
  const further = titles.length - TITLES_IN_SUMMARY;
  const named = titles.slice(0, TITLES_IN_SUMMARY).join(', ');
  return `${inOneLine(vehicle)}: ${named}${further > 0 ? ` and ${further} more` : ''}`;
}

function descriptionOf(visit: ListedVisit): string {
  const fleetNumber = visit.fleetNumber === null ? '' : ` (${inOneLine(visit.fleetNumber)})`;
  return [
    `${inOneLine(visit.vehicle)}${fleetNumber}, depot ${inOneLine(visit.depot)}, ${visit.minutes} minutes`,
    ...visit.items.map(({ title, position, dueOn, plannedOn, minutes }) => {
      const where = position === null ? '' : `, ${inOneLine(position.replaceAll('-', ' '))}`;
      return `${inOneLine(title)}${where}: due ${dueOn}, planned ${plannedOn}, ${minutes} minutes`;
    }),
  ].join('\n');
}

function inOneLine(text: string): string {
  return plainText(text, LONGEST_TEXT);
}
