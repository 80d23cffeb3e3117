import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import ICAL from 'ical.js';
import { planCalendar } from '../../../src/modules/downtime-plans/plan-calendar';
import type { ListedVisit } from '../../../src/modules/downtime-plans/plan-views';
import { octetLinesOf } from '../../support/octet-lines';
import { itemOf, visitOf } from './listed-visits';

const ROOT = join(__dirname, '../../..');
const NAME = 'Upper Weir, 90 days; \\draft';
const STAMPED_AT = Date.parse('2026-07-30T10:00:00.123Z');
const write = (visits: ListedVisit[]) => planCalendar(visits, { name: NAME, stampedAt: STAMPED_AT });
const read = (text: string) => new ICAL.Component(ICAL.parse(text) as unknown[]);
const eventsOf = (text: string) =>
  read(text)
    .getAllSubcomponents('vevent')
    .map((component) => new ICAL.Event(component));

test('a visit is an event of whole days that ends before the day after its last', () => {
  const text = write([visitOf(1, { on: '2026-08-30', untilOn: '2026-08-31' })]);
  // RFC 5545, section 3.6.1: DTEND of an event of days is the day after, not included
  const lines = octetLinesOf(text).map(String);
  expect(lines).toEqual(
    expect.arrayContaining([
      'DTSTART;VALUE=DATE:20260830',
      'DTEND;VALUE=DATE:20260901',
      'DTSTAMP:20260730T100000Z',
    ]),
  );
  const [event] = eventsOf(text);
  expect(event!.startDate.isDate).toBe(true);
  expect([event!.startDate.toString(), event!.endDate.toString()]).toEqual(['2026-08-30', '2026-09-01']);
  expect(event!.duration.toSeconds()).toBe(2 * 86_400);
  expect(event!.uid).toBe('0198a000-0000-7000-8000-000000000001@precharge');
  expect(event!.location).toBe('Harrow Ford');
});

test.each([
  ['Pacific/Kiritimati', -840],
  ['Pacific/Pago_Pago', 660],
])('days do not move with the zone of the machine: %s', (zone, offsetMinutes) => {
  const visits = [visitOf(1, { on: '2026-03-29', untilOn: '2026-03-29', zone: 'Pacific/Auckland' })];
  // a process of its own, as Jest keeps the zone that it began with
  const script = `
    const { planCalendar } = require(${JSON.stringify(join(ROOT, 'src/modules/downtime-plans/plan-calendar.ts'))});
    const text = planCalendar(${JSON.stringify(visits)}, { name: '', stampedAt: ${STAMPED_AT} });
    console.log(JSON.stringify({ text, offsetMinutes: new Date(2026, 2, 29).getTimezoneOffset() }));`;
  const printed = execFileSync(
    process.execPath,
    ['--require', join(ROOT, 'test/support/require-typescript.js'), '--eval', script],
    { encoding: 'utf8', env: { ...process.env, TZ: zone }, cwd: ROOT },
  );
  const answer = JSON.parse(printed) as { text: string; offsetMinutes: number };
  expect(answer.offsetMinutes).toBe(offsetMinutes);
  const [event] = eventsOf(answer.text);
  expect([event!.startDate.toString(), event!.endDate.toString()]).toEqual(['2026-03-29', '2026-03-30']);
  expect(answer.text).toContain('DTSTAMP:20260730T100000Z');
});

test('tentative until it is booked; the UID stays', () => {
  const bookingId = '0198a000-0000-7000-8000-0000000000b1';
  const [planned] = eventsOf(write([visitOf(7)]));
  const [booked] = eventsOf(write([visitOf(7, { bookingId, on: '2026-08-30' })]));
  expect(planned!.component.getFirstPropertyValue('status')).toBe('TENTATIVE');
  expect(booked!.component.getFirstPropertyValue('status')).toBe('CONFIRMED');
  expect(booked!.uid).toBe(planned!.uid);
});

test('what is done and when it is due stands in the event', () => {
  const titles = [
    'Fluid change',
    'Precharge test',
    'Precharge test',
    'Filter cleaning',
    'Hold test',
    'Look round',
  ];
  const [event] = eventsOf(
    write([
      visitOf(1, {
        items: titles.map((title, index) => itemOf({ title, position: index === 1 ? 'front-left' : null })),
      }),
    ]),
  );
  expect(event!.summary).toBe('TVP 117: Fluid change, Precharge test, Filter cleaning and 2 more');
  expect(event!.description.split('\n')).toEqual([
    'TVP 117 (U17), depot Upper Weir, 330 minutes',
    'Fluid change: due 2026-09-02, planned 2026-08-31, 90 minutes',
    'Precharge test, front left: due 2026-09-02, planned 2026-08-31, 90 minutes',
    ...['Precharge test', 'Filter cleaning', 'Hold test', 'Look round'].map(
      (title) => `${title}: due 2026-09-02, planned 2026-08-31, 90 minutes`,
    ),
  ]);
});

// RFC 5545, section 3.3.11
test('backslashes, commas, semicolons and line breaks are escaped and come back', () => {
  const text = write([
    visitOf(1, {
      workshop: 'Harrow Ford, north; bay \\2',
      items: [itemOf({ title: 'Öl; "grün", neu: \\n' })],
    }),
  ]);
  const lines = octetLinesOf(text).map(String);
  expect(lines).toContain('LOCATION:Harrow Ford\\, north\\; bay \\\\2');
  expect(lines).toContain('SUMMARY:TVP 117: Öl\\; "grün"\\, neu: \\\\n');
  // RFC 7986, section 5.1: NAME is a text too, of which the reader does not know
  expect(lines).toContain('NAME:Upper Weir\\, 90 days\\; \\\\draft');
  const [event] = eventsOf(text);
  expect(event!.location).toBe('Harrow Ford, north; bay \\2');
  expect(event!.summary).toBe('TVP 117: Öl; "grün", neu: \\n');
});

// RFC 5545, section 3.1: 75 octets without the line break, the space of a continuation counted, characters whole
test.each([
  ['two octets', 'ö'],
  ['three octets', '油'],
  ['four octets', '😀'],
  ['mixed', 'aö油😀'],
])('long texts of letters of %s: no line above 75 octets, no letter torn, nothing lost', (_, letters) => {
  for (let shift = 0; shift < 8; shift++) {
    const title = `${'x'.repeat(shift)}${letters.repeat(40)}`;
    const text = write([
      visitOf(1, { vehicle: letters.repeat(10), workshop: title, depot: title, items: [itemOf({ title })] }),
    ]);
    const decoder = new TextDecoder('utf-8', { fatal: true });
    for (const line of octetLinesOf(text)) {
      expect(line.length).toBeLessThanOrEqual(75);
      expect(() => decoder.decode(line)).not.toThrow();
    }
    expect(octetLinesOf(text).some((line) => line.length > 70 && line[0] === 0x20)).toBe(true);
    const [event] = eventsOf(text);
    expect(event!.summary).toBe(`${letters.repeat(10)}: ${title}`);
    expect(event!.location).toBe(title);
    expect(event!.description).toContain(`depot ${title},`);
  }
});

test.each(['a\r\nBEGIN:VEVENT', 'a\u0000b\u0008c\u007fd', 'half \ud800 of a pair', 'a\nATTACH:x'])(
  'words from outside add no line and no control character: %j',
  (words) => {
    const text = planCalendar(
      [visitOf(1, { vehicle: words, workshop: words, items: [itemOf({ title: words })] })],
      {
        name: words,
        stampedAt: STAMPED_AT,
      },
    );
    expect(
      octetLinesOf(text)
        .map((line) => /^[A-Z-]+|^ /.exec(String(line))![0])
        .filter((name) => name !== ' '),
    ).toEqual(
      octetLinesOf(write([visitOf(1)]))
        .map((line) => /^[A-Z-]+/.exec(String(line))?.[0])
        .filter((name) => name !== undefined),
    );
    expect(/[^\P{Cc}\r\n]/u.test(text)).toBe(false);
    expect(Buffer.from(text).toString()).toBe(text);
    expect(eventsOf(text)).toHaveLength(1);
  },
);

test('an event for each visit, in their order; the frame alone without any', () => {
  const text = write([visitOf(1), visitOf(2, { items: [] }), visitOf(3)]);
  expect(eventsOf(text).map(({ uid }) => Number(uid.slice(24, 36)))).toEqual([1, 2, 3]);
  expect(octetLinesOf(write([])).map(String).slice(0, 3)).toEqual([
    'BEGIN:VCALENDAR',
    'VERSION:2.0',
    'PRODID:-//Precharge//Downtime plan//EN',
  ]);
  expect(eventsOf(text)[1]!.summary).toBe('TVP 117');
  expect(eventsOf(write([]))).toEqual([]);
  expect(write([visitOf(1)])).toBe(write([visitOf(1)]));
});
