import { DateTime } from 'luxon';
import type { Schemas } from '../../api/client';

export type Booking = Schemas['BookingDto'];

/** A booking of the day with the sheet that was made for it. */
export interface Job {
  booking: Booking;
  /** null until somebody makes one */
  jobSheetId: string | null;
  registrationMark: string;
  bayName: string;
  people: string[];
  isMine: boolean;
}

/** States in which there is something to do, or to look at, in the workshop. */
const SHOWN: Booking['state'][] = ['confirmed', 'arrived', 'in-work', 'finished'];

/** From the beginning of a day to its end, on the workshop's clock. @param on a calendar date */
export function dayOf(on: string, zone: string): { fromAt: string; untilAt: string } {
  const start = DateTime.fromISO(on, { zone });
  return {
    fromAt: start.toUTC().toISO() ?? '',
    untilAt: start.plus({ days: 1 }).toUTC().toISO() ?? '',
  };
}

/** The jobs of a day: one's own first, then by the time at which they begin; what is finished comes last. */
export function jobsInOrder(jobs: readonly Job[]): Job[] {
  const rank = ({ isMine, booking }: Job): number =>
    (booking.state === 'finished' ? 2 : 0) + (isMine ? 0 : 1);
  return jobs
    .filter(({ booking }) => SHOWN.includes(booking.state))
    .sort((a, b) => rank(a) - rank(b) || a.booking.startsAt.localeCompare(b.booking.startsAt));
}

/** What can be done with a job next, towards its sheet. */
export type NextStep = 'arrive' | 'start' | 'make-sheet' | 'open-sheet' | null;

export function nextStepOf({ booking, jobSheetId }: Pick<Job, 'booking' | 'jobSheetId'>): NextStep {
  if (booking.state === 'confirmed') return 'arrive';
  if (booking.state === 'arrived') return 'start';
  if (jobSheetId !== null) return 'open-sheet';
  return booking.state === 'in-work' ? 'make-sheet' : null;
}
