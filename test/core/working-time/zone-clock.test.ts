import { Temporal } from 'temporal-polyfill';
import { addDays, fromEpochDay, localDateAt, toEpochDay } from '../../../src/core/shared/calendar-date';
import { InputError } from '../../../src/core/shared/input-error';
import { SeededRandom } from '../../../src/core/shared/seeded-random';
import { ZoneClock } from '../../../src/core/working-time/zone-clock';

// Source: an independent implementation of ECMAScript Temporal (npm temporal-polyfill), whose default reading of
// local times is `compatible`.

const DAY = 86_400_000;
// changes at midnight, by half an hour, twice within Ramadan, and a whole day left out
const ZONES = [
  'Europe/Berlin',
  'America/Havana',
  'America/Santiago',
  'America/St_Johns',
  'Africa/Cairo',
  'Africa/Casablanca',
  'Australia/Lord_Howe',
  'Asia/Kathmandu',
  'Pacific/Apia',
  'Pacific/Kwajalein',
];
const wallTime = (day: number, minute: number, zone: string) =>
  Temporal.PlainDate.from(fromEpochDay(day)).toPlainDateTime().add({ minutes: minute }).toZonedDateTime(zone)
    .epochMilliseconds;

test.each(ZONES)('local times of %s, at its changes and elsewhere, are those of Temporal', (zone) => {
  const from = Date.UTC(1990, 0, 1);
  const clock = new ZoneClock(zone, from, Date.UTC(2030, 0, 1));
  const random = new SeededRandom(7);
  const days: number[] = Array.from({ length: 60 }, () => random.integer(toEpochDay('1990-01-03'), 21_900));
  let at = Temporal.Instant.fromEpochMilliseconds(from).toZonedDateTimeISO(zone);
  for (;;) {
    const next = at.getTimeZoneTransition('next');
    if (next === null || next.year > 2029) break;
    at = next;
    days.push(Math.floor(at.epochMilliseconds / DAY));
  }
  for (const day of days)
    for (const near of [day - 1, day, day + 1]) {
      const minute = random.integer(0, 1440);
      const early = random.integer(0, 12) * 15;
      expect({ near, minute, at: clock.instantOf(near, minute) }).toEqual({
        near,
        minute,
        at: wallTime(near, minute, zone),
      });
      expect({ near, early, at: clock.instantOf(near, early) }).toEqual({
        near,
        early,
        at: wallTime(near, early, zone),
      });
      const instant = near * DAY + minute * 60_000;
      expect(fromEpochDay(clock.localDayAt(instant))).toBe(localDateAt(instant, zone));
    }
});

test('a date that the zone left out is not there', () => {
  const clock = new ZoneClock('Pacific/Apia', Date.UTC(2011, 11, 1), Date.UTC(2012, 0, 31));
  const day = toEpochDay('2011-12-30');
  expect([day - 1, day, day + 1].map((each) => clock.hasDay(each))).toEqual([true, false, true]);
});

describe('grid points', () => {
  test.each([
    ['Europe/Berlin', '2025-10-26', 100],
    ['Europe/Berlin', '2025-03-30', 92],
    ['Australia/Lord_Howe', '2025-10-05', 94],
    ['Asia/Kathmandu', '2025-10-05', 96],
  ])('%s on %s has %i quarters of an hour, all on the wall clock', (zone, on, expected) => {
    const midnight = (date: string) =>
      Temporal.PlainDate.from(date).toZonedDateTime({ timeZone: zone }).epochMilliseconds;
    const until = midnight(addDays(on, 1));
    const clock = new ZoneClock(zone, midnight(on), until);
    let count = 0;
    for (
      let at = clock.gridPointFrom(midnight(on), 900_000);
      at < until;
      at = clock.gridPointFrom(at + 1, 900_000)
    ) {
      const local = Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(zone);
      expect([local.minute % 15, local.second]).toEqual([0, 0]);
      count++;
    }
    expect(count).toBe(expected);
  });

  test('an hourly grid follows the clock over a change of half an hour', () => {
    const zone = 'Australia/Lord_Howe';
    const clock = new ZoneClock(zone, Date.UTC(2025, 9, 1), Date.UTC(2025, 9, 10));
    const after = Temporal.ZonedDateTime.from(`2025-10-05T01:30[${zone}]`).epochMilliseconds;
    const point = Temporal.Instant.fromEpochMilliseconds(clock.gridPointFrom(after, 3_600_000));
    // the clock goes from 02:00 to 02:30
    expect(point.toZonedDateTimeISO(zone).toPlainTime().toString()).toBe('03:00:00');
  });
});

test('an unknown zone is refused', () => {
  expect(() => new ZoneClock('Mars/Olympus', 0, DAY)).toThrow(InputError);
});
