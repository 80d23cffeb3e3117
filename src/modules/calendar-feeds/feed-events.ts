import type { BookingState } from '../../core/booking/booking-state';
import { addDays, localDateAt } from '../../core/shared/calendar-date';
import { inOneLine, workSummary, type CalendarEvent } from '../../platform/calendar/write-calendar';
import type { CalendarBooking, CalendarOffRoadPeriod } from './calendar-contents.repository';

const CALLED_OFF: readonly BookingState[] = ['cancelled', 'missed', 'lapsed'];

/** A booking in the diary of its workshop: from the beginning of the work to its end. */
export function diaryEvent(booking: CalendarBooking, withNames: boolean): CalendarEvent {
  return {
    ...ofBooking(booking, withNames),
    uid: `${booking.id}.diary@precharge`,
    time: { startsAt: booking.startsAt.getTime(), endsAt: booking.endsAt.getTime() },
    location: `${inOneLine(booking.bayName)}, ${inOneLine(booking.workshopName)}`,
  };
}

/** The days of its depot on which a booked vehicle is in the workshop. */
export function workshopDaysEvent(booking: CalendarBooking, zone: string, withNames: boolean): CalendarEvent {
  const { id, startsAt, endsAt, workshopName } = booking;
  return {
    ...ofBooking(booking, withNames),
    uid: `${id}.off-road@precharge`,
    // work that ends at midnight does not take the day that begins then
    time: {
      fromOn: localDateAt(startsAt.getTime(), zone),
      untilOn: addDays(localDateAt(endsAt.getTime() - 1, zone), 1),
    },
    location: inOneLine(workshopName),
    takesNoTime: true,
  };
}

/** Days on which a vehicle is off the road for another reason than a booking. */
export function offRoadEvent(period: CalendarOffRoadPeriod): CalendarEvent {
  const { id, registrationMark, fleetNumber, fromOn, untilOn, reason, deleted, changes, changedAt } = period;
  return {
    uid: `${id}.off-road@precharge`,
    time: { fromOn, untilOn },
    summary: `${inOneLine(registrationMark)}: off the road`,
    location: '',
    description: `${vehicleInWords(registrationMark, fleetNumber)}\n${inOneLine(reason)}`,
    status: deleted ? 'cancelled' : 'confirmed',
    stampedAt: changedAt.getTime(),
    sequence: changes,
    takesNoTime: true,
  };
}

function ofBooking(
  booking: CalendarBooking,
  withNames: boolean,
): Omit<CalendarEvent, 'uid' | 'time' | 'location' | 'takesNoTime'> {
  const { registrationMark, fleetNumber, state, minutes, titles, changes, changedAt } = booking;
  const { technicians, contact, note } = booking;
  const names = [
    technicians.length === 0 ? null : `Technicians: ${technicians.map(inOneLine).join(', ')}`,
    contact === null ? null : `Contact: ${inOneLine(contact)}`,
    note === null ? null : `Note: ${inOneLine(note)}`,
  ];
  return {
    summary: workSummary(registrationMark, titles),
    description: [
      `${vehicleInWords(registrationMark, fleetNumber)}, ${minutes} minutes, ${state.replace('-', ' ')}`,
      ...titles.map(inOneLine),
      ...(withNames ? names.filter((line) => line !== null) : []),
    ].join('\n'),
    status: CALLED_OFF.includes(state) ? 'cancelled' : state === 'provisional' ? 'tentative' : 'confirmed',
    stampedAt: changedAt.getTime(),
    sequence: changes,
  };
}

function vehicleInWords(registrationMark: string, fleetNumber: string | null): string {
  return fleetNumber === null
    ? inOneLine(registrationMark)
    : `${inOneLine(registrationMark)} (${inOneLine(fleetNumber)})`;
}
