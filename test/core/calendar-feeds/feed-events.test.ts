import ICAL from 'ical.js';
import type {
  CalendarBooking,
  CalendarOffRoadPeriod,
} from '../../../src/modules/calendar-feeds/calendar-contents.repository';
import { diaryEvent, offRoadEvent, workshopDaysEvent } from '../../../src/modules/calendar-feeds/feed-events';
import { writeCalendar, type CalendarEvent } from '../../../src/platform/calendar/write-calendar';
import { octetLinesOf } from '../../support/octet-lines';

// RFC 5545; read by ical.js 2.2.1, and the length of lines on the bytes themselves, because that reader writes and reads
// lines of 76 octets.

const FRAME = { name: 'Upper Tarn: workshop diary', product: 'Calendar feed', refreshSeconds: 3_600 };
const ID = '0198a000-0000-7000-8000-0000000000b1';

const bookingOf = (more: Partial<CalendarBooking> = {}): CalendarBooking => ({
  id: ID,
  registrationMark: 'TVP 101',
  fleetNumber: '17',
  workshopName: 'Upper Tarn workshop',
  bayName: 'Lift 1',
  state: 'confirmed',
  startsAt: new Date('2026-12-01T09:00:00Z'),
  endsAt: new Date('2026-12-01T11:30:00Z'),
  minutes: 150,
  titles: ['Fluid change', 'Look it over'],
  changes: 0,
  changedAt: new Date('2026-11-20T08:00:00Z'),
  technicians: ['Alder', 'Birch'],
  contact: 'ward 7, extension 12',
  note: 'bring the ramp key',
  ...more,
});

const periodOf = (more: Partial<CalendarOffRoadPeriod> = {}): CalendarOffRoadPeriod => ({
  id: ID,
  registrationMark: 'TVP 101',
  fleetNumber: null,
  fromOn: '2026-12-01',
  untilOn: '2026-12-03',
  reason: 'waiting for a body part',
  deleted: false,
  changes: 0,
  changedAt: new Date('2026-11-20T08:00:00Z'),
  ...more,
});

const write = (...events: CalendarEvent[]): string => writeCalendar(FRAME, events);
const linesOf = (text: string): string[] => octetLinesOf(text).map(String);
const eventIn = (text: string): InstanceType<typeof ICAL.Event> => {
  const [event] = new ICAL.Component(ICAL.parse(text) as unknown[]).getAllSubcomponents('vevent');
  return new ICAL.Event(event);
};

test('a booking stands in the diary from the beginning of its work to the end, in UTC', () => {
  const text = write(diaryEvent(bookingOf(), false));
  expect(linesOf(text)).toEqual([
    'BEGIN:VCALENDAR',
    'VERSION:2.0',
    'PRODID:-//Precharge//Calendar feed//EN',
    'NAME:Upper Tarn: workshop diary',
    'X-WR-CALNAME:Upper Tarn: workshop diary',
    // RFC 7986, section 5.7
    'REFRESH-INTERVAL;VALUE=DURATION:PT1H',
    'X-PUBLISHED-TTL:PT1H',
    'BEGIN:VEVENT',
    `UID:${ID}.diary@precharge`,
    'SEQUENCE:0',
    'DTSTAMP:20261120T080000Z',
    'DTSTART:20261201T090000Z',
    'DTEND:20261201T113000Z',
    'SUMMARY:TVP 101: Fluid change\\, Look it over',
    'LOCATION:Lift 1\\, Upper Tarn workshop',
    'DESCRIPTION:TVP 101 (17)\\, 150 minutes\\, confirmed\\nFluid change\\nLook it ',
    ' over',
    'STATUS:CONFIRMED',
    'LAST-MODIFIED:20261120T080000Z',
    'END:VEVENT',
    'END:VCALENDAR',
  ]);
});

test('names, and what is noted of who called, are in it only where that was asked for', () => {
  const without = eventIn(write(diaryEvent(bookingOf(), false))).description;
  for (const said of ['Alder', 'Birch', 'ward 7', 'ramp key']) expect(without).not.toContain(said);
  expect(
    eventIn(write(diaryEvent(bookingOf(), true)))
      .description.split('\n')
      .slice(3),
  ).toEqual(['Technicians: Alder, Birch', 'Contact: ward 7, extension 12', 'Note: bring the ramp key']);
});

test.each([
  ['provisional', 'TENTATIVE'],
  ['confirmed', 'CONFIRMED'],
  ['arrived', 'CONFIRMED'],
  ['in-work', 'CONFIRMED'],
  ['finished', 'CONFIRMED'],
  ['collected', 'CONFIRMED'],
  ['cancelled', 'CANCELLED'],
  ['missed', 'CANCELLED'],
  ['lapsed', 'CANCELLED'],
] as const)('a booking that is %s is %s', (state, status) => {
  const text = write(diaryEvent(bookingOf({ state, changes: 4 }), false));
  expect(eventIn(text).component.getFirstPropertyValue('status')).toBe(status);
  expect(eventIn(text).sequence).toBe(4);
});

// the days are those of the depot's zone: expected values by the offsets of the zones, GMT, UTC+13 and UTC-5 in December
test.each([
  ['Europe/London', '2026-12-01T09:00:00Z', '2026-12-01T11:30:00Z', '20261201', '20261202'],
  ['Pacific/Auckland', '2026-12-01T09:00:00Z', '2026-12-01T11:30:00Z', '20261201', '20261203'],
  ['Pacific/Auckland', '2026-12-01T11:00:00Z', '2026-12-01T12:00:00Z', '20261202', '20261203'],
  ['America/New_York', '2026-12-01T03:00:00Z', '2026-12-01T04:00:00Z', '20261130', '20261201'],
  ['Europe/London', '2026-12-01T09:00:00Z', '2026-12-03T16:00:00Z', '20261201', '20261204'],
  // work until midnight
  ['Europe/London', '2026-12-01T20:00:00Z', '2026-12-02T00:00:00Z', '20261201', '20261202'],
])('in %s work from %s to %s takes the days from %s to before %s', (zone, startsAt, endsAt, from, until) => {
  const booking = bookingOf({ startsAt: new Date(startsAt), endsAt: new Date(endsAt) });
  const lines = linesOf(write(workshopDaysEvent(booking, zone, false)));
  expect(lines).toEqual(
    expect.arrayContaining([
      `UID:${ID}.off-road@precharge`,
      `DTSTART;VALUE=DATE:${from}`,
      `DTEND;VALUE=DATE:${until}`,
      'LOCATION:Upper Tarn workshop',
      'TRANSP:TRANSPARENT',
    ]),
  );
});

test('days off the road are whole days; deleted ones are cancelled', () => {
  const text = write(offRoadEvent(periodOf()));
  expect(linesOf(text)).toEqual(
    expect.arrayContaining([
      'DTSTART;VALUE=DATE:20261201',
      // RFC 5545, section 3.6.1: the day after the last, which is the first day back
      'DTEND;VALUE=DATE:20261203',
      'SUMMARY:TVP 101: off the road',
      'DESCRIPTION:TVP 101\\nwaiting for a body part',
      'STATUS:CONFIRMED',
    ]),
  );
  const deleted = eventIn(write(offRoadEvent(periodOf({ deleted: true, changes: 1 }))));
  expect(deleted.component.getFirstPropertyValue('status')).toBe('CANCELLED');
  expect([deleted.uid, deleted.sequence]).toEqual([eventIn(text).uid, 1]);
});

// RFC 5545, section 3.1: 75 octets without the line break, the space of a continuation counted, characters whole
test.each([
  ['two octets', 'ö'],
  ['three octets', '油'],
  ['four octets', '😀'],
  ['mixed', 'aö油😀'],
])('letters of %s: no line above 75 octets, no letter torn, nothing lost', (_, letters) => {
  for (let shift = 0; shift < 12; shift++) {
    const long = `${'x'.repeat(shift)}${letters.repeat(45)}`;
    const booking = bookingOf({
      registrationMark: letters,
      titles: [long],
      technicians: [long],
      bayName: long,
    });
    const text = write(diaryEvent(booking, true), offRoadEvent(periodOf({ reason: long })));
    const decoder = new TextDecoder('utf-8', { fatal: true });
    for (const line of octetLinesOf(text)) {
      expect(line.length).toBeLessThanOrEqual(75);
      expect(() => decoder.decode(line)).not.toThrow();
    }
    const event = eventIn(text);
    expect(event.summary).toBe(`${letters}: ${long}`);
    expect(event.location).toBe(`${long}, Upper Tarn workshop`);
    expect(event.description).toContain(`Technicians: ${long}`);
  }
});

// RFC 5545, section 3.3.11
test('backslashes, commas, semicolons and line breaks are escaped and come back', () => {
  const words = 'Zoë; "wing", left \\n and\nBEGIN:VALARM\r\nx';
  const text = write(diaryEvent(bookingOf({ titles: [words], bayName: words, note: words }), true));
  const plain = 'Zoë; "wing", left \\n and BEGIN:VALARM x';
  expect(linesOf(text).filter((line) => line.startsWith('BEGIN:'))).toEqual([
    'BEGIN:VCALENDAR',
    'BEGIN:VEVENT',
  ]);
  expect(text.replace(/\r\n /g, '')).toContain(
    'SUMMARY:TVP 101: Zoë\\; "wing"\\, left \\\\n and BEGIN:VALARM x\r\n',
  );
  expect(eventIn(text).summary).toBe(`TVP 101: ${plain}`);
  expect(eventIn(text).description).toContain(`Note: ${plain}`);
});
