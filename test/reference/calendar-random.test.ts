import fc from 'fast-check';
import { Temporal } from 'temporal-polyfill';
import {
  addDays,
  addMonths,
  daysBetween,
  fromEpochDay,
  isoWeekday,
  localDateAt,
  startOfLocalDay,
  toEpochDay,
} from '../../src/core/shared/calendar-date';
import { parseInstant } from '../../src/core/shared/instant';
import { isoWeek } from '../../src/core/shared/iso-week';
import { instantAtLocalTime } from '../../src/core/shared/local-time';

// Source: an independent implementation of ECMAScript Temporal (npm temporal-polyfill)

const CASES = { numRuns: 10_000, seed: 20_260_329 };
const dateBetween = (from: string, to: string) =>
  fc.integer({ min: toEpochDay(from), max: toEpochDay(to) }).map(fromEpochDay);
// away from the ends by as much as the cases add
const anyDate = dateBetween('0112-01-01', '9800-12-31');

// zones whose clock changes hit midnight, half hours, whole days, or go backwards in summer
const ZONES = [
  'UTC',
  'Europe/London',
  'Europe/Berlin',
  'Europe/Dublin',
  'Atlantic/Azores',
  'America/New_York',
  'America/St_Johns',
  'America/Havana',
  'America/Santiago',
  'America/Sao_Paulo',
  'America/Asuncion',
  'Africa/Cairo',
  'Africa/Casablanca',
  'Asia/Beirut',
  'Asia/Amman',
  'Asia/Tehran',
  'Asia/Kathmandu',
  'Asia/Gaza',
  'Australia/Lord_Howe',
  'Antarctica/Troll',
  'Pacific/Apia',
  'Pacific/Kwajalein',
  'Pacific/Chatham',
];
const anyZone = fc.constantFrom(...ZONES);
const yearsOfOffsets = ['1980-01-01', '2037-12-31'] as const;

// random days seldom meet a clock change, so half of the days are picked at one
const daysAtChanges = ZONES.flatMap((zone) => {
  const days: { zone: string; date: string }[] = [];
  let at = Temporal.ZonedDateTime.from(`${yearsOfOffsets[0]}T00:00[${zone}]`);
  for (;;) {
    const next = at.getTimeZoneTransition('next');
    if (next === null || next.year > 2037) return days;
    for (const shift of [-1, 0, 1])
      days.push({ zone, date: next.toPlainDate().add({ days: shift }).toString() });
    at = next;
  }
});
const dayInZone = fc.oneof(
  fc.record({ zone: anyZone, date: dateBetween(...yearsOfOffsets) }),
  fc.constantFrom(...daysAtChanges),
);

test('there are clock changes to pick from', () => {
  expect(daysAtChanges.length).toBeGreaterThan(3000);
});

test('dates: days added, months added, days between, weekday, week', () => {
  fc.assert(
    fc.property(
      anyDate,
      anyDate,
      fc.integer({ min: -40_000, max: 40_000 }),
      fc.integer({ min: -1200, max: 1200 }),
      (date, other, days, months) => {
        const expected = Temporal.PlainDate.from(date);
        expect({
          days: addDays(date, days),
          months: addMonths(date, months),
          between: daysBetween(date, other),
          weekday: isoWeekday(date),
          week: isoWeek(date),
        }).toEqual({
          days: expected.add({ days }).toString(),
          months: expected.add({ months }).toString(),
          between: expected.until(other).days,
          weekday: expected.dayOfWeek,
          week: { year: expected.yearOfWeek, week: expected.weekOfYear },
        });
      },
    ),
    CASES,
  );
});

test('the day on the wall at an instant', () => {
  const instants = fc.oneof(
    fc.record({
      zone: anyZone,
      instant: fc.integer({ min: Date.UTC(1980, 0), max: Date.UTC(2037, 11) }),
    }),
    fc
      .tuple(fc.constantFrom(...daysAtChanges), fc.integer({ min: -40 * 3_600_000, max: 40 * 3_600_000 }))
      .map(([{ zone, date }, shift]) => ({ zone, instant: Date.parse(date) + shift })),
  );
  fc.assert(
    fc.property(instants, ({ zone, instant }) => {
      const expected = Temporal.Instant.fromEpochMilliseconds(instant).toZonedDateTimeISO(zone);
      expect(localDateAt(instant, zone)).toBe(expected.toPlainDate().toString());
    }),
    CASES,
  );
});

test('the start of a day in a zone', () => {
  fc.assert(
    fc.property(dayInZone, ({ zone, date }) => {
      const expected = Temporal.PlainDate.from(date).toZonedDateTime(zone).startOfDay().epochMilliseconds;
      expect(startOfLocalDay(date, zone)).toBe(expected);
    }),
    CASES,
  );
});

test('the instant of a time of day in a zone', () => {
  const anyTime = fc
    .tuple(fc.integer({ min: 0, max: 23 }), fc.constantFrom(0, 15, 30, 59))
    .map((parts) => parts.map((part) => String(part).padStart(2, '0')).join(':'));
  const anyChoice = fc.constantFrom('compatible', 'earlier', 'later');
  fc.assert(
    fc.property(dayInZone, anyTime, anyChoice, ({ zone, date }, time, disambiguation) => {
      const expected = Temporal.PlainDateTime.from(`${date}T${time}`).toZonedDateTime(zone, {
        disambiguation,
      });
      expect(instantAtLocalTime(date, time, zone, disambiguation)).toBe(expected.epochMilliseconds);
    }),
    { ...CASES, numRuns: 3000 },
  );
});

test('instants of RFC 3339', () => {
  const digits = (length: number) => (value: number) => String(value).padStart(length, '0');
  const text = fc
    .tuple(
      anyDate,
      fc.integer({ min: 0, max: 23 }).map(digits(2)),
      fc.integer({ min: 0, max: 59 }).map(digits(2)),
      fc.integer({ min: 0, max: 59 }).map(digits(2)),
      fc.oneof(
        fc.constant(''),
        fc.integer({ min: 0, max: 999 }).map((value) => `.${digits(3)(value)}`),
        fc.integer({ min: 0, max: 999_999_999 }).map((value) => `.${digits(9)(value)}`),
      ),
      fc.oneof(
        fc.constant('Z'),
        fc
          .tuple(
            fc.constantFrom('+', '-'),
            fc.integer({ min: 0, max: 23 }).map(digits(2)),
            fc.integer({ min: 0, max: 59 }).map(digits(2)),
          )
          .map(([sign, hours, minutes]) => `${sign}${hours}:${minutes}`),
      ),
    )
    .map(
      ([date, hour, minute, second, fraction, offset]) =>
        `${date}T${hour}:${minute}:${second}${fraction}${offset}`,
    );
  fc.assert(
    fc.property(text, (instant) => {
      expect(parseInstant(instant)).toBe(Temporal.Instant.from(instant).epochMilliseconds);
    }),
    { ...CASES, numRuns: 3000 },
  );
});
