import { addDays } from '../../../src/core/shared/calendar-date';
import { SeededRandom } from '../../../src/core/shared/seeded-random';
import type { SlotQuestion } from '../../../src/core/working-time/find-slots';
import type { Period } from '../../../src/core/working-time/instant-set';
import type { DayException, DayWindow, WeeklyWindows } from '../../../src/core/working-time/opening-pattern';
import type { Bay, Technician, Workshop } from '../../../src/core/working-time/workshop';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;

/** Days that a question is about: `firstOn` is the local date at `firstAt`. */
export interface Block {
  zone: string;
  firstOn: string;
  firstAt: number;
  days: number;
}

// no end between 01:00 and 04:00, where a wall clock may show a time twice or not at all
const HOURS: readonly (readonly DayWindow[])[] = [
  [
    { from: '08:00', until: '12:00' },
    { from: '13:00', until: '17:00' },
  ],
  [{ from: '06:00', until: '14:10' }],
  [{ from: '12:00', until: '24:00' }],
  [{ from: '22:00', until: '06:00' }],
  [{ from: '00:00', until: '24:00' }],
  [
    { from: '18:00', until: '23:45' },
    { from: '00:15', until: '05:00' },
  ],
  [
    { from: '07:20', until: '09:00' },
    { from: '09:00', until: '11:35' },
    { from: '14:00', until: '15:00' },
  ],
  [],
];

/** A question with one or two small workshops, of the kind that a minute-by-minute scan can answer. */
export function randomQuestion(random: SeededRandom, block: Block): SlotQuestion {
  const pick = <T>(items: readonly T[]): T => items[random.integer(0, items.length - 1)]!;
  const chance = (share: number): boolean => random.next() < share;
  const some = <T>(most: number, make: (i: number) => T): T[] =>
    Array.from({ length: random.integer(0, most) }, (_, i) => make(i));
  const anyDate = () => addDays(block.firstOn, random.integer(0, block.days - 1));
  const period = (longestHours: number): Period => {
    const startsAt = block.firstAt + random.integer(12 * 60, (block.days - 1) * 24 * 60) * MINUTE;
    return { startsAt, endsAt: startsAt + random.integer(1, longestHours * 60) * MINUTE };
  };
  const weekly = (): WeeklyWindows => {
    const usual = pick(HOURS.slice(0, 5));
    return Object.fromEntries([1, 2, 3, 4, 5, 6, 7].map((day) => [day, chance(0.75) ? usual : pick(HOURS)]));
  };
  const exceptions = (): DayException[] =>
    [...new Set(some(2, anyDate))].map((on) => ({ on, windows: pick(HOURS) }));
  const sharedShifts = weekly();

  const technician = (i: number): Technician => ({
    id: `t${i}`,
    competences: ['gas', 'brakes', 'lifting']
      .filter(() => chance(0.5))
      .map((code) => ({ code, untilOn: chance(0.25) ? anyDate() : null })),
    shifts: chance(0.65) ? sharedShifts : weekly(),
    shiftExceptions: chance(0.3) ? exceptions() : [],
    absences: some(1, () => period(20)),
    busy: some(3, () => period(5)),
  });
  const bay = (i: number): Bay => ({
    id: `b${i}`,
    kinds: pick([['lift'], ['pit'], ['lift', 'pit']]),
    closures: some(1, () => period(10)),
    busy: some(6, () => period(5)),
  });
  const workshop = (id: string): Workshop => ({
    id,
    opening: {
      zone: block.zone,
      weekly: weekly(),
      holidaysOn: some(1, anyDate),
      closedOn: some(1, anyDate),
      exceptions: chance(0.4) ? exceptions() : [],
    },
    bays: Array.from({ length: random.integer(1, 3) }, (_, i) => bay(i)),
    technicians: Array.from({ length: random.integer(2, 5) }, (_, i) => technician(i)),
    minutesBefore: pick([0, 0, 15]),
    minutesAfter: pick([0, 0, 20]),
    vehicleStay: pick(['not-at-all', 'over-breaks', 'overnight', 'overnight']),
    gridMinutes: pick([15, 15, 10, 30, 60]),
  });

  const fromAt = block.firstAt + random.integer(12 * 60, 48 * 60) * MINUTE;
  return {
    workshops: chance(0.25) ? [workshop('w2'), workshop('w1')] : [workshop('w1')],
    job: {
      minutes: chance(0.5) ? random.integer(10, 240) : random.integer(200, 700),
      bayKinds: pick([[], [], ['lift'], ['pit'], ['lift', 'pit']]),
      needed: some(3, () => ({
        competences: chance(0.75)
          ? [pick(['gas', 'brakes', 'lifting'])]
          : ['gas', 'brakes', 'lifting'].filter(() => chance(0.4)),
      })),
      separatePeople: chance(0.6),
      minutesBefore: pick([null, null, 30]),
      minutesAfter: pick([null, null, 0]),
    },
    fromAt,
    untilAt: fromAt + random.integer(20, 60) * HOUR,
    count: random.integer(1, 4),
    vehicleBusy: some(3, () => period(8)),
    searchUntilAt: block.firstAt + block.days * DAY - 24 * HOUR,
  };
}
