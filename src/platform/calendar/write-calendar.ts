import { escape, ICalCalendar, ICalEventStatus, ICalEventTransparency } from 'ical-generator';
import type { CalendarDate } from '../../core/shared/calendar-date';
import { plainText } from '../pictures/plain-text';

/** When an event is: whole days, the day after the last one given, or instants in milliseconds since the epoch. */
export type EventTime =
  { fromOn: CalendarDate; untilOn: CalendarDate } | { startsAt: number; endsAt: number };

/** An event of a calendar. Its texts are plain: they are escaped here. */
export interface CalendarEvent {
  /** the same for the same thing for ever */
  uid: string;
  time: EventTime;
  summary: string;
  location: string;
  description: string;
  status: 'tentative' | 'confirmed' | 'cancelled';
  /** when it was made, or changed last; milliseconds since the epoch */
  stampedAt: number;
  /** in a calendar that is read again and again: counts the changes of the event */
  sequence?: number;
  /** it takes nobody's time: a calendar shows its owner as free */
  takesNoTime?: boolean;
}

export interface CalendarFrame {
  name: string;
  /** what made it, as PRODID says it */
  product: string;
  /** how often a reader should look again; left out for a file that stays as it is */
  refreshSeconds?: number;
}

const STATUSES = {
  tentative: ICalEventStatus.TENTATIVE,
  confirmed: ICalEventStatus.CONFIRMED,
  cancelled: ICalEventStatus.CANCELLED,
};

const LONGEST_TEXT = 200;

/**
 * A calendar by RFC 5545. Instants are written in UTC, so that no zone has to be explained to a reader; whole days are
 * dates without a zone.
 */
export function writeCalendar(
  { name, product, refreshSeconds }: CalendarFrame,
  events: readonly CalendarEvent[],
): string {
  const calendar = new ICalCalendar({
    // the one text that the library writes as it is
    name: escape(inOneLine(name), false),
    prodId: { company: 'Precharge', product, language: 'EN' },
    ...(refreshSeconds === undefined ? {} : { ttl: refreshSeconds }),
  });
  for (const { uid, time, status, stampedAt, sequence, takesNoTime = false, ...texts } of events)
    calendar.createEvent({
      id: uid,
      stamp: new Date(stampedAt),
      // a date without a time is read by the library as one of UTC, and written so
      ...('fromOn' in time
        ? { start: time.fromOn, end: time.untilOn, allDay: true }
        : { start: new Date(time.startsAt), end: new Date(time.endsAt) }),
      ...texts,
      status: STATUSES[status],
      ...(sequence === undefined ? {} : { sequence, lastModified: new Date(stampedAt) }),
      ...(takesNoTime ? { transparency: ICalEventTransparency.TRANSPARENT } : {}),
    });
  // the library leaves the last line without its end
  return `${calendar.toString()}\r\n`;
}

/** A text from outside as one line of an event. */
export function inOneLine(text: string): string {
  return plainText(text, LONGEST_TEXT);
}

/** A vehicle and the first few of its works, the others counted. */
export function workSummary(vehicle: string, titles: readonly string[]): string {
  const distinct = [...new Set(titles.map(inOneLine))];
  if (distinct.length === 0) return inOneLine(vehicle);
  const further = distinct.length - TITLES_IN_SUMMARY;
  const named = distinct.slice(0, TITLES_IN_SUMMARY).join(', ');
  return `${inOneLine(vehicle)}: ${named}${further > 0 ? ` and ${further} more` : ''}`;
}

const TITLES_IN_SUMMARY = 3;
