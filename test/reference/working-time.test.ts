import { instantAtLocalTime } from '../../src/core/shared/local-time';
import { parseInstant } from '../../src/core/shared/instant';
import { findSlots, type SlotQuestion } from '../../src/core/working-time/find-slots';
import { lengthMs, periodsOf } from '../../src/core/working-time/instant-set';
import { openIntervals, workingMinutes } from '../../src/core/working-time/open-intervals';
import type { DayWindow, OpeningPattern } from '../../src/core/working-time/opening-pattern';
import {
  addWorkingDays,
  countWorkingDays,
  isWorkingDay,
  rollToWorkingDay,
} from '../../src/core/working-time/working-days';
import type { Workshop } from '../../src/core/working-time/workshop';

// Source, where nothing else is named: two independent programs that agree on every figure, a scan minute by
// minute in Python (zoneinfo) and interval arithmetic with luxon.

const ZONE = 'Europe/Berlin';
const DAY = [
  { from: '08:00', until: '12:00' },
  { from: '13:00', until: '17:00' },
];
// Source: npm date-holidays 3.37.0, type "public", DE/BY; cross-checked with Debian python3-holidays 0.10.1
const BAVARIAN_HOLIDAYS_2025 =
  '2025-01-01 2025-01-06 2025-04-18 2025-04-21 2025-05-01 2025-05-29 2025-06-09 2025-06-19 2025-10-03 2025-11-01 2025-12-25 2025-12-26'.split(
    ' ',
  );
const OPENING: OpeningPattern = {
  zone: ZONE,
  weekly: { 1: DAY, 2: DAY, 3: DAY, 4: DAY, 5: DAY, 6: [{ from: '09:00', until: '12:00' }] },
  holidaysOn: BAVARIAN_HOLIDAYS_2025,
};
const at = (local: string, zone = ZONE) => instantAtLocalTime(local.slice(0, 10), local.slice(11, 16), zone);
const period = (from: string, until: string) => ({ startsAt: at(from), endsAt: at(until) });

describe('the first slot', () => {
  const workshop: Workshop = {
    id: 'workshop',
    opening: OPENING,
    bays: [{ id: 'bay', kinds: ['lift'], closures: [], busy: [] }],
    technicians: [
      {
        id: 'technician',
        competences: [],
        shifts: OPENING.weekly,
        shiftExceptions: [],
        absences: [],
        busy: [],
      },
    ],
    minutesBefore: 0,
    minutesAfter: 0,
    vehicleStay: 'not-at-all',
    gridMinutes: 15,
  };
  test.each([
    ['2025-03-28T15:30', 150, [], '2025-03-29T09:00:00+01:00', '2025-03-29T11:30:00+01:00'],
    ['2025-03-28T15:31', 60, [], '2025-03-28T15:45:00+01:00', '2025-03-28T16:45:00+01:00'],
    // Good Friday and Easter Monday are holidays, the Saturday is too short
    ['2025-04-17T14:00', 240, [], '2025-04-22T08:00:00+02:00', '2025-04-22T12:00:00+02:00'],
    [
      '2025-04-17T14:00',
      240,
      [period('2025-04-22T08:00', '2025-04-22T09:00'), period('2025-04-22T15:00', '2025-04-22T15:30')],
      '2025-04-23T08:00:00+02:00',
      '2025-04-23T12:00:00+02:00',
    ],
    [
      '2025-04-17T14:00',
      180,
      [period('2025-04-19T09:00', '2025-04-19T10:00')],
      '2025-04-17T14:00:00+02:00',
      '2025-04-17T17:00:00+02:00',
    ],
  ])('from %s for %i minutes (%#)', (earliest, minutes, busy, startsAt, endsAt) => {
    const question: SlotQuestion = {
      workshops: [workshop],
      job: {
        minutes,
        bayKinds: ['lift'],
        needed: [],
        separatePeople: false,
        minutesBefore: null,
        minutesAfter: null,
      },
      fromAt: at(earliest),
      untilAt: at('2025-05-31T00:00'),
      count: 1,
      vehicleBusy: [],
      searchUntilAt: at('2025-05-31T00:00'),
    };
    const expected = { startsAt: parseInstant(startsAt), endsAt: parseInstant(endsAt) };
    const [technician] = workshop.technicians;
    const ways: SlotQuestion[] = [
      { ...question, workshops: [{ ...workshop, bays: [{ ...workshop.bays[0]!, busy }] }] },
      { ...question, workshops: [{ ...workshop, technicians: [{ ...technician!, busy }] }] },
      { ...question, vehicleBusy: busy },
    ];
    for (const way of ways) expect(findSlots(way).slots).toMatchObject([expected]);
  });
});

describe('working minutes', () => {
  test.each([
    ['2025-04-01T00:00', '2025-05-01T00:00', 10_320],
    ['2025-10-01T00:00', '2025-11-01T00:00', 11_280],
    ['2025-01-01T00:00', '2026-01-01T00:00', 129_180],
    ['2025-03-28T15:30', '2025-03-31T10:00', 390],
  ])('from %s until %s: %i', (from, until, expected) => {
    expect(workingMinutes(OPENING, at(from), at(until))).toBe(expected);
  });

  test.each([
    ['2025-03-29', 420],
    ['2025-10-25', 540],
    ['2025-07-05', 480],
  ])('the night shift from 22:00 to 06:00 of %s lasts %i minutes', (on, expected) => {
    const night = {
      zone: ZONE,
      weekly: {},
      exceptions: [{ on, windows: [{ from: '22:00', until: '06:00' }] }],
    };
    const open = openIntervals(night, at('2025-01-01T00:00'), at('2026-01-01T00:00'));
    expect(periodsOf(open)).toHaveLength(1);
    expect(lengthMs(open) / 60_000).toBe(expected);
  });
});

// Source: two implementations of ECMAScript Temporal that agree on every row (time zone data 2025b/2025c)
describe('a whole day of opening', () => {
  test.each([
    ['2025-03-30', 'Europe/Berlin', 23],
    ['2025-10-26', 'Europe/Berlin', 25],
    ['2025-03-09', 'America/New_York', 23],
    ['2025-10-05', 'Australia/Lord_Howe', 23.5],
  ])('%s in %s has %d hours', (on, zone, hours) => {
    const pattern = { zone, weekly: {}, exceptions: [{ on, windows: [{ from: '00:00', until: '24:00' }] }] };
    const noon = at(`${on}T12:00`, zone);
    expect(workingMinutes(pattern, noon - 2 * 86_400_000, noon + 2 * 86_400_000) / 60).toBe(hours);
  });

  test('starts at 01:00 where the clock leaves midnight out', () => {
    const whole = [{ from: '00:00', until: '24:00' }];
    const pattern = {
      zone: 'America/Santiago',
      weekly: {},
      exceptions: [{ on: '2025-09-07', windows: whole }],
    };
    const [open] = periodsOf(
      openIntervals(pattern, parseInstant('2025-09-05T00:00:00Z'), parseInstant('2025-09-10T00:00:00Z')),
    );
    expect(open?.startsAt).toBe(parseInstant('2025-09-07T01:00:00-03:00'));
  });

  test('is not there where the zone left the date out', () => {
    const whole: DayWindow[] = [{ from: '08:00', until: '17:00' }];
    const pattern = {
      zone: 'Pacific/Apia',
      weekly: {},
      exceptions: ['2011-12-29', '2011-12-30', '2011-12-31'].map((on) => ({ on, windows: whole })),
    };
    const open = openIntervals(
      pattern,
      parseInstant('2011-12-28T00:00:00Z'),
      parseInstant('2012-01-02T00:00:00Z'),
    );
    expect(periodsOf(open)).toEqual([
      {
        startsAt: parseInstant('2011-12-29T08:00:00-10:00'),
        endsAt: parseInstant('2011-12-29T17:00:00-10:00'),
      },
      {
        startsAt: parseInstant('2011-12-31T08:00:00+14:00'),
        endsAt: parseInstant('2011-12-31T17:00:00+14:00'),
      },
    ]);
  });

  // 02:30 to 03:30: Temporal reads the missing 02:30 as 03:30 and takes the first of two 02:30
  test.each([
    ['2025-03-30', '02:30', '04:00', 30],
    ['2025-03-30', '01:00', '02:30', 90],
    ['2025-03-30', '02:30', '03:30', 0],
    ['2025-10-26', '02:30', '04:00', 150],
    ['2025-10-26', '01:00', '02:30', 90],
  ])('%s from %s to %s has %i minutes', (on, from, until, expected) => {
    const pattern = { zone: ZONE, weekly: {}, exceptions: [{ on, windows: [{ from, until }] }] };
    expect(workingMinutes(pattern, at(`${on}T00:00`), at(`${on}T12:00`))).toBe(expected);
  });
});

// Source: examples of the NumPy manual on business days, run again
describe('working days of Monday to Friday', () => {
  const weekdays: OpeningPattern = { zone: 'UTC', weekly: { 1: DAY, 2: DAY, 3: DAY, 4: DAY, 5: DAY } };
  test.each([
    ['2011-01-01', '2011-02-01', 21],
    ['2011-01-01', '2012-01-01', 260],
  ])('from %s until %s: %i', (from, until, expected) => {
    expect(countWorkingDays(weekdays, from, until)).toBe(expected);
  });
  test('2011 has 53 Saturdays', () => {
    expect(countWorkingDays({ zone: 'UTC', weekly: { 6: DAY } }, '2011-01-01', '2012-01-01')).toBe(53);
  });
  test('the second Sunday of May 2012', () => {
    expect(addWorkingDays({ zone: 'UTC', weekly: { 7: DAY } }, '2012-05-01', 1)).toBe('2012-05-13');
  });
  test.each([
    ['2011-10-01', 0, 'following', '2011-10-03'],
    ['2012-03-01', -1, 'following', '2012-02-29'],
    ['2011-03-20', 0, 'following', '2011-03-21'],
    ['2011-03-20', 0, 'preceding', '2011-03-18'],
    ['2010-10-30', 0, 'modified-following', '2010-10-29'],
    ['2010-10-16', 0, 'modified-following', '2010-10-18'],
    ['2011-03-20', 1, 'following', '2011-03-22'],
    ['2011-03-20', 1, 'preceding', '2011-03-21'],
  ] as const)('%s and %i, %s: %s', (from, days, roll, expected) => {
    expect(addWorkingDays(weekdays, from, days, roll)).toBe(expected);
  });
});

describe('working days with the Bavarian holidays of 2025', () => {
  const opening: OpeningPattern = {
    zone: ZONE,
    weekly: { 1: DAY, 2: DAY, 3: DAY, 4: DAY, 5: DAY },
    holidaysOn: BAVARIAN_HOLIDAYS_2025,
  };
  test('the year has 250', () => {
    expect(countWorkingDays(opening, '2025-01-01', '2026-01-01')).toBe(250);
  });
  test.each([
    [1, '2025-04-17'],
    [2, '2025-04-22'],
    [3, '2025-04-23'],
    [5, '2025-04-25'],
    [10, '2025-05-05'],
  ])('%i after 2025-04-16 is %s', (days, expected) => {
    expect(addWorkingDays(opening, '2025-04-16', days)).toBe(expected);
  });
  test('the roll at the end of May and over All Saints', () => {
    expect(rollToWorkingDay(opening, '2025-05-31', 'modified-following')).toBe('2025-05-30');
    expect(rollToWorkingDay(opening, '2025-11-01', 'following')).toBe('2025-11-03');
  });
  test.each(BAVARIAN_HOLIDAYS_2025)('%s is none', (on) => {
    expect(isWorkingDay(opening, on)).toBe(false);
  });
});

// Source: npm date-holidays 3.37.0 for England and the USA
describe('holidays that are kept on another day', () => {
  const weekdays = { 1: DAY, 2: DAY, 3: DAY, 4: DAY, 5: DAY };
  test('Boxing Day 2026 falls on a Saturday and is kept on Monday the 28th', () => {
    const holidaysOn = ['2026-12-25', '2026-12-26', '2026-12-28'];
    expect(addWorkingDays({ zone: 'Europe/London', weekly: weekdays, holidaysOn }, '2026-12-24', 1)).toBe(
      '2026-12-29',
    );
  });
  test('4 July 2026 falls on a Saturday and is kept on Friday the 3rd', () => {
    const holidaysOn = ['2026-07-03', '2026-07-04'];
    expect(addWorkingDays({ zone: 'America/New_York', weekly: weekdays, holidaysOn }, '2026-07-02', 1)).toBe(
      '2026-07-06',
    );
  });
});
