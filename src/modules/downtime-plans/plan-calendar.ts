import { addDays } from '../../core/shared/calendar-date';
import { inOneLine, workSummary, writeCalendar } from '../../platform/calendar/write-calendar';
import type { ListedVisit } from './plan-views';

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
  return writeCalendar(
    { name, product: 'Downtime plan' },
    visits.map((visit) => ({
      uid: `${visit.id}@precharge`,
      time: { fromOn: visit.on, untilOn: addDays(visit.untilOn, 1) },
      summary: workSummary(
        visit.vehicle,
        visit.items.map(({ title }) => title),
      ),
      location: inOneLine(visit.workshop),
      description: descriptionOf(visit),
      status: visit.bookingId === null ? 'tentative' : 'confirmed',
      stampedAt,
    })),
  );
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
