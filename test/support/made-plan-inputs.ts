import { addDays, startOfLocalDay } from '../../src/core/shared/calendar-date';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import type { Period } from '../../src/core/working-time/instant-set';
import { prepareDiary } from '../../src/core/working-time/prepare-diary';
import type { DayWindow } from '../../src/core/working-time/opening-pattern';
import type { Workshop } from '../../src/core/working-time/workshop';
import type { OwedItem, PlanInputs, StandingBooking } from '../../src/modules/downtime-plans/plan-inputs';

const ZONE = 'Europe/London';
/** A Monday; the clocks change within four weeks. */
const FROM_ON = '2027-03-01';
const HOUR = 3_600_000;

interface MadeTask {
  task: string;
  minutes: number | null;
  competence: string;
  bayKind?: string;
  positions?: string[];
  doBefore?: string[];
  satisfies?: string[];
  safetyCritical?: boolean;
}

// made up in the order of magnitude of common practice, no published source
const TASKS: readonly MadeTask[] = [
  {
    task: 'fluid-change',
    minutes: 90,
    competence: 'hydraulics',
    bayKind: 'lift',
    satisfies: ['filter-clean'],
  },
  { task: 'filter-clean', minutes: 25, competence: 'hydraulics' },
  {
    task: 'brake-reserve-check',
    minutes: 60,
    competence: 'brakes',
    bayKind: 'brake-tester',
    safetyCritical: true,
  },
  { task: 'precharge-test', minutes: 40, competence: 'hydraulics', positions: ['front', 'rear'] },
  {
    task: 'recharge',
    minutes: 60,
    competence: 'hydraulics',
    positions: ['front', 'rear'],
    doBefore: ['precharge-test'],
  },
  {
    task: 'warning-test',
    minutes: null,
    competence: 'brakes',
    doBefore: ['fluid-change'],
    safetyCritical: true,
  },
];
/** Longer than any day. */
const OVERHAUL: MadeTask = { task: 'overhaul', minutes: 700, competence: 'hydraulics', bayKind: 'lift' };

/**
 * What a plan of a small fleet is read from, as the database would tell it: workshops with gaps in their diaries, people
 * whose competences expire, rosters, blackout periods, work that comes before other work or settles it, standing bookings
 * before, in and after the plan. Tight enough that something runs short. The same seed makes the same.
 */
export function madePlanInputs(seed: number): PlanInputs {
  const random = new SeededRandom(seed);
  const dayCount = random.integer(21, 35);
  const workshops = madeWorkshops(random, dayCount);
  const depots = numbered(random.integer(1, 2), (n) => ({
    id: `depot ${n}`,
    name: `Depot ${n}`,
    zone: ZONE,
  }));
  const vehicles = numbered(random.integer(4, 12), (n) => ({
    id: `vehicle ${n}`,
    depotId: pick(random, depots).id,
    registrationMark: `TVP ${100 + n}`,
    fleetNumber: null,
  }));
  const tasks = random.next() < 0.5 ? [...TASKS, OVERHAUL] : TASKS;
  const items = vehicles.flatMap(({ id }) => madeItems(random, id, tasks, dayCount));
  const workshopIds = workshops.map(({ prepared }) => prepared.workshop.id);
  return {
    fromOn: FROM_ON,
    dayCount,
    ...rangeOf(dayCount),
    depots,
    vehicles,
    items,
    bookings: madeBookings(random, items, workshopIds, dayCount),
    neededOnRoad: new Map(
      depots.map(({ id }) => {
        const count = vehicles.filter(({ depotId }) => depotId === id).length;
        return [id, numbered(dayCount, () => count - (random.next() < 0.1 ? 0 : random.integer(1, 3)))];
      }),
    ),
    blackouts: new Map(
      vehicles
        .filter(() => random.next() < 0.4)
        .map(({ id }) => {
          const fromOn = addDays(FROM_ON, random.integer(-2, dayCount - 1));
          return [id, [{ fromOn, untilOn: addDays(fromOn, random.integer(1, 5)), reason: 'Fair day' }]];
        }),
    ),
    ways: new Map(
      depots.map(({ id }) => [
        id,
        workshopIds
          .filter((_, at) => at === 0 || random.next() < 0.7)
          .map((workshopId, at) => ({ workshopId, costMinor: 2_000 * at + random.integer(0, 1_000) })),
      ]),
    ),
    workshops,
    weights: {
      currency: 'EUR',
      visitLossMinor: random.integer(8_000, 20_000),
      valuePerItemMinor: 12_000,
      valueByTask: [{ task: 'fluid-change', valueMinor: 30_000 }],
      riskPerLateDayMinor: { safetyCritical: 8_000, other: 800 },
      leftOutMinor: 500_000,
    },
    wishes: { locked: [], forbidden: [] },
    assumptions: [],
  };
}

function rangeOf(dayCount: number): Pick<PlanInputs, 'fromAt' | 'untilAt'> {
  return {
    fromAt: startOfLocalDay(FROM_ON, ZONE),
    untilAt: startOfLocalDay(addDays(FROM_ON, dayCount), ZONE),
  };
}

function madeWorkshops(random: SeededRandom, dayCount: number): PlanInputs['workshops'] {
  const { fromAt, untilAt } = rangeOf(dayCount);
  const gaps = (share: number): Period[] =>
    numbered(dayCount, (n) => n).flatMap((n) => {
      const startsAt = fromAt + (n - 1) * 24 * HOUR + random.integer(8, 15) * HOUR;
      return random.next() < share ? [{ startsAt, endsAt: startsAt + random.integer(1, 5) * HOUR }] : [];
    });
  const made = numbered(random.integer(1, 3), (n): Workshop => {
    const windows = pick(random, [
      [{ from: '08:00', until: '16:00' }],
      [
        { from: '08:00', until: '12:00' },
        { from: '13:00', until: '17:00' },
      ],
    ]);
    const weekly: Record<number, DayWindow[]> = {
      1: windows,
      2: windows,
      3: windows,
      4: windows,
      5: windows,
    };
    if (random.next() < 0.3) weekly[6] = [{ from: '08:00', until: '12:00' }];
    return {
      id: `workshop ${n}`,
      opening: { zone: ZONE, weekly, closedOn: [addDays(FROM_ON, random.integer(0, dayCount - 1))] },
      bays: numbered(random.integer(1, 2), (bay) => ({
        id: `bay ${n}.${bay}`,
        kinds: bay === 1 ? ['lift', ...(n === 1 ? ['brake-tester'] : [])] : ['flat', 'brake-tester'],
        closures: [],
        busy: gaps(0.5),
      })),
      technicians: numbered(random.integer(1, 3), (person) => ({
        id: `technician ${n}.${person}`,
        competences: [
          { code: 'hydraulics', untilOn: null },
          ...(person > 1 && random.next() < 0.4
            ? []
            : [{ code: 'brakes', untilOn: random.next() < 0.2 ? addDays(FROM_ON, 14) : null }]),
        ],
        shifts: weekly,
        shiftExceptions: [],
        absences: random.next() < 0.3 ? [{ startsAt: fromAt, endsAt: fromAt + 4 * 24 * HOUR }] : [],
        busy: gaps(0.3),
      })),
      minutesBefore: pick(random, [0, 10]),
      minutesAfter: pick(random, [0, 5]),
      vehicleStay: pick(random, ['not-at-all', 'over-breaks', 'overnight', 'overnight']),
      gridMinutes: 15,
    };
  });
  const idle = made.map((workshop) => ({
    ...workshop,
    bays: workshop.bays.map((bay) => ({ ...bay, busy: [] })),
    technicians: workshop.technicians.map((technician) => ({ ...technician, busy: [] })),
  }));
  const prepared = prepareDiary(made, fromAt, untilAt).workshops;
  const unbooked = prepareDiary(idle, fromAt, untilAt).workshops;
  return made.map(({ id }, at) => ({ name: id, prepared: prepared[at]!, unbooked: unbooked[at]! }));
}

function madeItems(
  random: SeededRandom,
  vehicleId: string,
  tasks: readonly MadeTask[],
  dayCount: number,
): OwedItem[] {
  const cluster = random.integer(0, dayCount - 1);
  return tasks
    .filter(() => random.next() < 0.65)
    .flatMap(({ task, minutes, competence, bayKind, positions, doBefore, satisfies, safetyCritical }) => {
      const due = random.next() < 0.5 ? cluster : random.integer(-6, dayCount - 1);
      const window = { early: random.integer(3, 20), late: random.integer(0, 8) };
      return (positions ?? [null]).map((position): OwedItem => {
        // most positions are due alike, and are done together then
        const dueDay = position === null || random.next() < 0.7 ? due : due - random.integer(0, 5);
        return {
          vehicleId,
          key: position === null ? task : `${task}:${position}`,
          cycle: 'first',
          task,
          title: task,
          position,
          safetyCritical: safetyCritical ?? false,
          earlyOn: addDays(FROM_ON, dueDay - window.early),
          dueOn: addDays(FROM_ON, dueDay),
          lateOn: addDays(FROM_ON, dueDay + window.late),
          baselineOn: random.next() < 0.9 ? addDays(FROM_ON, dueDay - 365) : null,
          labourMinutes: minutes,
          competences: [competence],
          bayKind: bayKind ?? null,
          doBefore: doBefore ?? [],
          satisfies: satisfies ?? [],
        };
      });
    });
}

/** Some work is booked, for days before, in or after the plan. */
function madeBookings(
  random: SeededRandom,
  items: readonly OwedItem[],
  workshopIds: readonly string[],
  dayCount: number,
): StandingBooking[] {
  return items
    .filter(() => random.next() < 0.08)
    .map(({ vehicleId, key, cycle }, at) => {
      const day = random.integer(-3, dayCount + 3);
      const startsAt = startOfLocalDay(addDays(FROM_ON, day), ZONE) + 9 * HOUR;
      return {
        id: `booking ${at + 1}`,
        vehicleId,
        workshopId: pick(random, workshopIds),
        startsAt,
        fromAt: startsAt,
        untilAt: startsAt + HOUR,
        items: [{ dueItemKey: key, cycle }],
      };
    });
}

export function pick<T>(random: SeededRandom, list: readonly T[]): T {
  return list[random.integer(0, list.length - 1)]!;
}

/** One for each number from 1 on. */
function numbered<T>(count: number, make: (n: number) => T): T[] {
  return Array.from({ length: count }, (_, at) => make(at + 1));
}
