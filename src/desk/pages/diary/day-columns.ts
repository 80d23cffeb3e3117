import type { Booking } from './booking-words';
import { periodOf, type Period } from './day-axis';
import type { Bay, OpenDay, Technician } from './diary-data';
import { awayTimes, outside, shiftsOn, type ShutTime } from './shut-times';

/** A bay or a person with everything that takes its time on a day. */
export interface DayColumn {
  id: string;
  name: string;
  detail: string;
  bookings: Booking[];
  shut: ShutTime[];
}

interface Day {
  on: string;
  zone: string;
  /** what is drawn of it */
  axis: Period;
  opening: OpenDay | undefined;
  bookings: readonly Booking[];
}

const inUse = (retiredOn: string | null, on: string): boolean => retiredOn === null || on < retiredOn;

/** The bays of a workshop on a day. One that is out of use is shown where something stands in it. */
export function bayColumns(bays: readonly Bay[], day: Day): DayColumn[] {
  return bays
    .map((bay) => {
      const bookings = day.bookings.filter(({ bayId }) => bayId === bay.id);
      const closed = awayTimes(bay.closures, day.axis, 'Closed');
      const shut = [...shutHours(day), ...closed];
      return { bay, column: { id: bay.id, name: bay.name, detail: bay.kinds.join(', '), bookings, shut } };
    })
    .filter(({ bay, column }) => inUse(bay.retiredOn, day.on) || column.bookings.length > 0)
    .map(({ column }) => column);
}

/** The people of a workshop on a day, with their shifts and absences. */
export function personColumns(technicians: readonly Technician[], day: Day): DayColumn[] {
  return technicians
    .map((person) => {
      const bookings = day.bookings.filter(({ technicianIds }) => technicianIds.includes(person.id));
      const off = outside(day.axis, shiftsOn(person, day.on, day.zone), 'Off shift');
      const absent = awayTimes(person.absences, day.axis, 'Absent');
      const detail = person.competences.map(({ code }) => code).join(', ');
      return {
        person,
        column: { id: person.id, name: person.name, detail, bookings, shut: [...off, ...absent] },
      };
    })
    .filter(({ person, column }) => inUse(person.retiredOn, day.on) || column.bookings.length > 0)
    .map(({ column }) => column);
}

function shutHours({ axis, opening }: Day): ShutTime[] {
  if (opening === undefined) return [];
  return outside(axis, opening.windows.map(periodOf), opening.note ?? 'Shut');
}
