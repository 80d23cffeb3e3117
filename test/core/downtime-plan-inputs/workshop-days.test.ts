import { DateTime } from 'luxon';
import { SeededRandom } from '../../../src/core/shared/seeded-random';
import { prepareDiary } from '../../../src/core/working-time/prepare-diary';
import type { Workshop } from '../../../src/core/working-time/workshop';
import {
  bayKindResource,
  BAYS,
  competenceResource,
  PEOPLE,
} from '../../../src/modules/downtime-plans/plan-resources';
import { workshopDays } from '../../../src/modules/downtime-plans/workshop-days';
import { atHour, bay, DAYS, dateOf, FROM, person, workshop, ZONE } from '../../support/plan-inputs';

const LIFT = bayKindResource(['lift']);
const HYDRAULICS = competenceResource(['hydraulics']);
const BOTH = competenceResource(['hydraulics', 'brakes']);
const RESOURCES = [BAYS, PEOPLE, LIFT, HYDRAULICS, BOTH];
const MS_PER_DAY = 86_400_000;

function daysOf(of: Workshop, fromOn = FROM, dayCount = DAYS) {
  const start = DateTime.fromISO(fromOn, { zone: ZONE });
  const [prepared] = prepareDiary(
    [of],
    start.toMillis() - MS_PER_DAY,
    start.plus({ days: dayCount }).toMillis() + MS_PER_DAY,
  ).workshops;
  const days = workshopDays(prepared!, RESOURCES, fromOn, dayCount);
  const free = (resource: string): number[] =>
    Array.from(
      { length: dayCount },
      (_, day) => days.freeMinutes[day * RESOURCES.length + RESOURCES.indexOf(resource)]!,
    );
  return { ...days, free };
}
const MONDAY = 0;
const SATURDAY = 5;

test('each stretch of a bay gives its length less the minutes before and after a job; nothing on closed days', () => {
  const { free } = daysOf(workshop('near'));
  // 08:00 to 12:00 and 13:00 to 17:00, less 15 minutes
  expect(free(BAYS)).toEqual([465, 465, 465, 465, 465, 0, 0, 465, 465, 465, 465, 465, 0, 0]);
  expect(free(LIFT)).toEqual(free(BAYS));
  // a vehicle that may not stay over the break makes two stretches of it
  expect(daysOf(workshop('near', { vehicleStay: 'not-at-all' })).free(BAYS)[MONDAY]).toBe(450);
});

test('what is booked cuts a stretch in two, and a gap that no job fits into is nothing', () => {
  const busy = [
    { startsAt: atHour(MONDAY, 9), endsAt: atHour(MONDAY, 10) },
    // leaves an hour in the morning, 29 minutes at its end, and 30 in the afternoon
    { startsAt: atHour(MONDAY, 10), endsAt: atHour(MONDAY, 12) - 29 * 60_000 },
    { startsAt: atHour(MONDAY, 12), endsAt: atHour(MONDAY, 16.5) },
    // over the break
    { startsAt: atHour(1, 8), endsAt: atHour(1, 11) },
  ];
  const { free } = daysOf(workshop('near', { bays: [bay('lift', { busy })] }));
  expect(free(BAYS).slice(0, 2)).toEqual([45 + 0 + 15, 300 - 15]);
});

test('bays add up, and those of a kind by themselves; closures count', () => {
  const closures = [{ startsAt: atHour(MONDAY, 0), endsAt: atHour(1, 0) }];
  const { free } = daysOf(
    workshop('near', { bays: [bay('lift'), bay('flat', { kinds: ['flat'] }), bay('pit', { closures })] }),
  );
  expect(free(BAYS).slice(0, 2)).toEqual([930, 1_395]);
  expect(free(LIFT).slice(0, 2)).toEqual([465, 930]);
});

test.each([
  ['not-at-all', 225, false],
  ['over-breaks', 465, false],
  ['overnight', 465, true],
] as const)(
  'a vehicle that may stay %s gets %d minutes a day at the most',
  (vehicleStay, most, overnight) => {
    const { visitMinutes, keepsOvernight } = daysOf(workshop('near', { vehicleStay }));
    expect([visitMinutes[MONDAY], visitMinutes[SATURDAY], keepsOvernight]).toEqual([most, 0, overnight]);
  },
);

test('people count while they are on shift, the workshop is open, and they are neither absent nor booked', () => {
  const early = { 1: [{ from: '06:00', until: '10:00' }], 6: [{ from: '08:00', until: '12:00' }] };
  const { free } = daysOf(
    workshop('near', {
      technicians: [
        person('all day', ['hydraulics'], {
          busy: [{ startsAt: atHour(MONDAY, 8), endsAt: atHour(MONDAY, 9) }],
        }),
        person('early', ['brakes'], { shifts: early }),
        person('away', ['hydraulics'], { absences: [{ startsAt: atHour(-2, 0), endsAt: atHour(20, 0) }] }),
      ],
    }),
  );
  expect(free(PEOPLE).slice(0, 2)).toEqual([420 + 120, 480]);
  expect(free(HYDRAULICS).slice(0, 2)).toEqual([420, 480]);
  expect(free(PEOPLE)[SATURDAY]).toBe(0);
});

test('several competences count where one person has them all, until the first of them ends', () => {
  const competences = [
    { code: 'hydraulics', untilOn: dateOf(3) },
    { code: 'brakes', untilOn: dateOf(1) },
  ];
  const split = workshop('near', { technicians: [person('a', ['hydraulics']), person('b', ['brakes'])] });
  expect(Math.max(...daysOf(split).free(BOTH))).toBe(0);
  const one = workshop('near', { technicians: [person('c', [], { competences })] });
  expect(daysOf(one).free(BOTH).slice(0, 5)).toEqual([480, 0, 0, 0, 0]);
  expect(daysOf(one).free(HYDRAULICS).slice(0, 5)).toEqual([480, 480, 480, 0, 0]);
  expect(daysOf(one).free(PEOPLE).slice(0, 5)).toEqual([480, 480, 480, 480, 480]);
});

test('days are those of the workshop: the night when the clocks go back is an hour longer', () => {
  // 25 October 2026 in London
  const night = [{ from: '00:00', until: '04:00' }];
  const weekly = { 6: night, 7: night };
  const { free, visitMinutes } = daysOf(
    workshop('near', {
      opening: { zone: ZONE, weekly },
      technicians: [person('owl', ['hydraulics'], { shifts: weekly })],
    }),
    '2026-10-24',
    3,
  );
  expect(free(PEOPLE)).toEqual([240, 300, 0]);
  expect(free(BAYS)).toEqual([225, 285, 0]);
  expect(Array.from(visitMinutes)).toEqual([225, 285, 0]);
});

test('random diaries, minute by minute', () => {
  for (let seed = 1; seed <= 16; seed++) {
    const random = new SeededRandom(seed);
    const taken = (count: number) => {
      let from = atHour(0, 0);
      return Array.from({ length: count }, () => {
        const startsAt = from + random.integer(1, 700) * 60_000;
        const endsAt = startsAt + random.integer(5, 400) * 60_000;
        from = endsAt;
        return { startsAt, endsAt };
      });
    };
    const bays = [bay('a', { busy: taken(8) }), bay('b', { busy: taken(8), closures: taken(2) })];
    const technicians = [person('a', [], { busy: taken(8) }), person('b', [], { absences: taken(4) })];
    const overhead = random.integer(0, 25);
    const near = workshop('near', {
      bays,
      technicians,
      minutesBefore: overhead,
      minutesAfter: 0,
      vehicleStay: seed % 2 === 0 ? 'not-at-all' : 'overnight',
    });
    const { free } = daysOf(near, FROM, 4);
    const scanned = scan(near, overhead, 4);
    expect(free(BAYS)).toEqual(scanned.bays);
    expect(free(PEOPLE)).toEqual(scanned.people);
  }
});

/** The same, by looking at every minute. */
function scan({ bays, technicians, vehicleStay }: Workshop, overhead: number, dayCount: number) {
  const counted = { bays: new Array<number>(dayCount).fill(0), people: new Array<number>(dayCount).fill(0) };
  for (let day = 0; day < dayCount; day++) {
    const midnight = DateTime.fromISO(FROM, { zone: ZONE }).plus({ days: day });
    const isOpen = (minute: number): boolean => {
      const hour = Math.floor(minute / 60);
      return midnight.weekday < 6 && ((hour >= 8 && hour < 12) || (hour >= 13 && hour < 17));
    };
    const isBreak = (minute: number): boolean => vehicleStay !== 'not-at-all' && !isOpen(minute);
    const isFree = (periods: readonly { startsAt: number; endsAt: number }[], minute: number): boolean => {
      const at = midnight.toMillis() + minute * 60_000;
      return periods.every(({ startsAt, endsAt }) => at < startsAt || at >= endsAt);
    };
    for (const { busy, closures } of bays) {
      let run = 0;
      for (let minute = 0; minute <= 24 * 60; minute++) {
        const isEmpty = minute < 24 * 60 && isFree([...busy, ...closures], minute);
        if (isEmpty && isOpen(minute)) run++;
        if (isEmpty && (isOpen(minute) || isBreak(minute))) continue;
        if (run - overhead >= 15) counted.bays[day]! += run - overhead;
        run = 0;
      }
    }
    for (const { busy, absences } of technicians)
      for (let minute = 0; minute < 24 * 60; minute++)
        counted.people[day]! += Number(isOpen(minute) && isFree([...busy, ...absences], minute));
  }
  return counted;
}
