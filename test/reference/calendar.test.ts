import {
  addDays,
  addMonths,
  daysBetween,
  fromEpochDay,
  isoWeekday,
  localDateAt,
  parseCalendarDate,
  startOfLocalDay,
  toEpochDay,
} from '../../src/core/shared/calendar-date';
import { InputError } from '../../src/core/shared/input-error';
import { formatInstant, parseInstant } from '../../src/core/shared/instant';
import { isoWeek } from '../../src/core/shared/iso-week';
import { instantAtLocalTime } from '../../src/core/shared/local-time';

// Source, where nothing else is named: two independent implementations of ECMAScript Temporal
// (temporal-polyfill 1.0.8 and @js-temporal/polyfill 0.5.1) that agree on every row, time zone data 2025b/2025c.

const HOUR = 3_600_000;
const hoursInDay = (date: string, zone: string) =>
  (startOfLocalDay(addDays(date, 1), zone) - startOfLocalDay(date, zone)) / HOUR;

describe('calendar dates', () => {
  test.each([
    ['2024-01-31', 1, '2024-02-29'],
    ['2025-01-31', 1, '2025-02-28'],
    ['2024-02-29', 12, '2025-02-28'],
    ['2024-02-29', 48, '2028-02-29'],
    ['2024-08-31', 6, '2025-02-28'],
    ['2024-01-31', 2, '2024-03-31'],
    ['2024-03-31', -1, '2024-02-29'],
    ['2023-12-31', 2, '2024-02-29'],
  ])('%s and %i months is %s', (date, months, expected) => {
    expect(addMonths(date, months)).toBe(expected);
  });

  test('months one at a time drift: 31 January becomes 29 March', () => {
    expect(addMonths(addMonths('2024-01-31', 1), 1)).toBe('2024-03-29');
  });

  test.each([
    ['2100-02-28', '2100-03-01'],
    ['2000-02-28', '2000-02-29'],
  ])('the day after %s is %s', (date, expected) => {
    expect(addDays(date, 1)).toBe(expected);
  });

  // Temporal's differences in months and days, added again
  test.each([
    ['2024-01-31', 0, 29, '2024-02-29'],
    ['2024-01-31', 1, 1, '2024-03-01'],
    ['2024-02-29', 11, 30, '2025-02-28'],
    ['2024-01-30', 1, 1, '2024-03-01'],
  ])('%s and %i months and %i days is %s', (date, months, days, expected) => {
    expect(addDays(addMonths(date, months), days)).toBe(expected);
  });

  test('2020-02-29 to 2024-02-29 is 1461 days', () => {
    expect(daysBetween('2020-02-29', '2024-02-29')).toBe(1461);
  });

  test('a day that does not exist is refused, where Temporal would clamp it', () => {
    expect(() => parseCalendarDate('2025-02-31', 'doneOn')).toThrow(InputError);
  });

  test.each([
    () => addDays('9999-12-31', 1),
    () => addDays('0001-01-01', -1),
    () => addMonths('9999-12-01', 1),
    () => addMonths('0001-01-01', -1),
  ])('dates end with the years 0001 and 9999 (%#)', (step) => {
    expect(step).toThrow('outside the years 0001 to 9999');
  });

  // the months that ical rule FREQ=MONTHLY;BYMONTHDAY=-1 gives (npm rrule 2.8.1)
  test('the ends of the months of half a year, counted from the anchor', () => {
    expect([0, 1, 2, 3, 4, 5].map((months) => addMonths('2025-01-31', months))).toEqual([
      '2025-01-31',
      '2025-02-28',
      '2025-03-31',
      '2025-04-30',
      '2025-05-31',
      '2025-06-30',
    ]);
  });
});

describe('weeks', () => {
  test.each([
    ['2024-12-30', 2025, 1],
    ['2021-01-03', 2020, 53],
    ['2020-12-31', 2020, 53],
  ])('%s lies in week %i-W%i', (date, year, week) => {
    expect(isoWeek(date)).toEqual({ year, week });
  });

  // Source: Python's date.isocalendar, on the classic list of ISO 8601 corner cases
  test.each(
    `1977-01-01 1976-W53-6; 1977-01-02 1976-W53-7; 1977-12-31 1977-W52-6; 1978-01-01 1977-W52-7;
     1978-01-02 1978-W01-1; 1978-12-31 1978-W52-7; 1979-01-01 1979-W01-1; 1979-12-30 1979-W52-7;
     1979-12-31 1980-W01-1; 1980-12-28 1980-W52-7; 1980-12-29 1981-W01-1; 1981-12-31 1981-W53-4;
     1982-01-03 1981-W53-7; 2008-12-29 2009-W01-1; 2010-01-03 2009-W53-7`
      .split(';')
      .map((row) => row.trim().split(' ')),
  )('%s is %s', (date = '', expected = '') => {
    const { year, week } = isoWeek(date);
    expect(`${year}-W${String(week).padStart(2, '0')}-${isoWeekday(date)}`).toBe(expected);
  });

  // Source: examples of the NumPy manual on business days
  test.each([
    ['2011-01-01', '2011-02-01', [1, 2, 3, 4, 5], 21],
    ['2011-01-01', '2012-01-01', [1, 2, 3, 4, 5], 260],
    ['2011-01-01', '2012-01-01', [6], 53],
    ['2012-05-01', '2012-05-14', [7], 2],
  ])('from %s until %s the weekdays %j come %i times', (from, until, weekdays, expected) => {
    let count = 0;
    for (let day = toEpochDay(from); day < toEpochDay(until); day += 1)
      if (weekdays.includes(isoWeekday(fromEpochDay(day)))) count += 1;
    expect(count).toBe(expected);
  });
});

describe('zones', () => {
  test.each([
    ['2025-03-30', 'Europe/Berlin', 23],
    ['2025-10-26', 'Europe/Berlin', 25],
    ['2025-03-09', 'America/New_York', 23],
    ['2025-10-05', 'Australia/Lord_Howe', 23.5],
  ])('%s in %s has %d hours', (date, zone, hours) => {
    expect(hoursInDay(date, zone)).toBe(hours);
  });

  test.each([
    ['2025-03-30', '02:30', undefined, '2025-03-30T03:30:00+02:00'],
    ['2025-10-26', '02:30', undefined, '2025-10-26T02:30:00+02:00'],
    ['2025-10-26', '02:30', 'later', '2025-10-26T02:30:00+01:00'],
    ['2025-03-30', '02:30', 'earlier', '2025-03-30T01:30:00+01:00'],
  ] as const)('Berlin %s %s %s is %s', (date, time, disambiguation, expected) => {
    expect(instantAtLocalTime(date, time, 'Europe/Berlin', disambiguation)).toBe(parseInstant(expected));
  });

  test('over a clock change a day later is not 24 hours later', () => {
    const noon = instantAtLocalTime('2025-03-29', '12:00', 'Europe/Berlin');
    const nextNoon = instantAtLocalTime(addDays('2025-03-29', 1), '12:00', 'Europe/Berlin');
    expect(nextNoon).toBe(parseInstant('2025-03-30T12:00:00+02:00'));
    expect(noon + 24 * HOUR).toBe(parseInstant('2025-03-30T13:00:00+02:00'));
  });

  test('Apia left 2011-12-30 out: noon of that day is noon of the next', () => {
    const noon = instantAtLocalTime(addDays('2011-12-29', 1), '12:00', 'Pacific/Apia');
    expect(noon).toBe(parseInstant('2011-12-31T12:00:00+14:00'));
    expect(localDateAt(noon, 'Pacific/Apia')).toBe('2011-12-31');
    expect(startOfLocalDay('2011-12-30', 'Pacific/Apia')).toBe(startOfLocalDay('2011-12-31', 'Pacific/Apia'));
  });

  test('the Azores have midnight of 2034-10-29 twice: the day starts at the first', () => {
    expect(startOfLocalDay('2034-10-29', 'Atlantic/Azores')).toBe(parseInstant('2034-10-29T00:00:00+00:00'));
    expect(hoursInDay('2034-10-29', 'Atlantic/Azores')).toBe(25);
  });

  test('Santiago 2025-09-07 starts at one', () => {
    expect(startOfLocalDay(addDays('2025-09-05', 2), 'America/Santiago')).toBe(
      parseInstant('2025-09-07T01:00:00-03:00'),
    );
  });
});

describe('instants of RFC 3339', () => {
  // the examples of RFC 3339, section 5.8
  test.each([
    ['1985-04-12T23:20:50.52Z', '1985-04-12T23:20:50.520Z'],
    ['1996-12-19T16:39:57-08:00', '1996-12-20T00:39:57.000Z'],
    ['1990-12-31T23:59:60Z', '1990-12-31T23:59:59.000Z'],
    ['1990-12-31T15:59:60-08:00', '1990-12-31T23:59:59.000Z'],
    ['1937-01-01T12:00:27.87+00:20', '1937-01-01T11:40:27.870Z'],
    // section 5.6: letters may be small; section 4.3: -00:00 is UTC with the local offset unknown
    ['1985-04-12t23:20:50.52z', '1985-04-12T23:20:50.520Z'],
    ['1985-04-12T23:20:50-00:00', '1985-04-12T23:20:50.000Z'],
    ['1985-04-12T23:20:50.123999999Z', '1985-04-12T23:20:50.123Z'],
  ])('%s is %s', (text, expected) => {
    expect(formatInstant(parseInstant(text))).toBe(expected);
  });

  // none of these matches the grammar of RFC 3339, section 5.6, with the restrictions of 5.7
  test.each([
    '',
    'yesterday',
    '2026-03-29',
    '2026-03-29T08:30:00',
    '2026-03-29T08:30Z',
    '2026-03-29 08:30:00Z',
    '2026-03-29T08:30:00+0100',
    '2026-03-29T08:30:00+01',
    '2026-03-29T08:30:00,5Z',
    '2026-03-29T08:30:00.Z',
    '2026-03-29T24:00:00Z',
    '2026-03-29T08:60:00Z',
    '2026-03-29T08:30:61Z',
    '2026-03-29T08:30:00+24:00',
    '2026-03-29T08:30:00+01:60',
    '2025-02-29T08:30:00Z',
    '2026-13-01T08:30:00Z',
    '20260329T083000Z',
    '2026-W13-7T08:30:00Z',
    '+002026-03-29T08:30:00Z',
    '2026-03-29T08:30:00Z ',
    '2026-03-29T08:30:00Z[Europe/London]',
    // a second 60 anywhere but before the end of a UTC month
    '2026-03-29T08:30:60Z',
    '1990-12-31T23:59:60-08:00',
    '1990-12-30T23:59:60Z',
  ])('"%s" is refused', (text) => {
    expect(() => parseInstant(text, 'takenAt')).toThrow(InputError);
    expect(() => parseInstant(text, 'takenAt')).toThrow(
      expect.objectContaining({ field: 'takenAt' }) as Error,
    );
  });
});
