import { SeededRandom } from '../../../src/core/shared/seeded-random';
import { MAX_ITEMS } from '../../../src/core/downtime-plan/plan-problem';
import type { OwedItem } from '../../../src/modules/downtime-plans/plan-inputs';
import { leftOutCostOf, minutesOf, workOf } from '../../../src/modules/downtime-plans/plan-items';
import { resourcesOf } from '../../../src/modules/downtime-plans/plan-resources';
import type { PlanAssumption } from '../../../src/modules/downtime-plans/plan-wishes';
import { dateOf, DAYS, FROM, owed, planInputs } from '../../support/plan-inputs';

const BRAKES = { labourMinutes: 30, bayKind: 'brake-tester', competences: ['brakes'] };

const { weights } = planInputs();
const frameOf = (items: readonly OwedItem[], assumptions: PlanAssumption[] = []) => ({
  fromOn: FROM,
  dayCount: DAYS,
  weights,
  assumptions,
  ...resourcesOf(items),
});
const parcels = (items: readonly OwedItem[], assumptions?: PlanAssumption[]) =>
  workOf(items, frameOf(items, assumptions)).parcels;
const one = (change: Partial<OwedItem>, assumptions?: PlanAssumption[]) =>
  parcels([owed('one', 'regulator-check', change)], assumptions)[0]!.item;

describe('on which days', () => {
  test.each<
    [what: string, change: Partial<OwedItem>, earliestDay: number, latestDay: number, dueDay: number]
  >([
    ['within the plan', { earlyOn: dateOf(1), dueOn: dateOf(4), lateOn: dateOf(6) }, 1, 6, 4],
    ['cut to the plan', { earlyOn: dateOf(-9), dueOn: dateOf(4), lateOn: dateOf(99) }, 0, DAYS - 1, 4],
    [
      'due before it, not too late yet',
      { earlyOn: dateOf(-9), dueOn: dateOf(-2), lateOn: dateOf(3) },
      0,
      3,
      -2,
    ],
    [
      'past its last day already: any',
      { earlyOn: dateOf(-50), dueOn: dateOf(-40), lateOn: dateOf(-1) },
      0,
      DAYS - 1,
      -40,
    ],
    ['on its last day', { earlyOn: dateOf(-50), dueOn: dateOf(-40), lateOn: dateOf(0) }, 0, 0, -40],
  ])('%s', (_, change, earliestDay, latestDay, dueDay) => {
    expect(one(change)).toMatchObject({ earliestDay, latestDay, dueDay });
    expect(one(change).dayCosts).toHaveLength(latestDay - earliestDay + 1);
  });

  test('a later limit that is assumed counts for its task only', () => {
    const later = (task: string): PlanAssumption[] => [{ kind: 'later-limit', task, days: 2 }];
    const change = { earlyOn: dateOf(1), dueOn: dateOf(4), lateOn: dateOf(6) };
    expect(one(change, later('regulator-check')).latestDay).toBe(8);
    expect(one(change, later('fluid-change')).latestDay).toBe(6);
  });
});

describe('what it costs', () => {
  // an interval of 100 days
  const change = { earlyOn: dateOf(1), dueOn: dateOf(3), lateOn: dateOf(5), baselineOn: dateOf(-97) };

  test('the share of its value that is given away before, the risk after', () => {
    // 12,000 by 100 days, and 800 a day
    expect(Array.from(one(change).dayCosts)).toEqual([240, 120, 0, 800, 1_600]);
    expect(Array.from(one({ ...change, safetyCritical: true }).dayCosts)).toEqual([
      240, 120, 0, 8_000, 16_000,
    ]);
  });

  test('a task may have a value of its own; of an unknown interval a year is taken', () => {
    const [fluid] = parcels([owed('one', 'fluid-change', change)]);
    expect(Array.from(fluid!.item.dayCosts.slice(0, 2))).toEqual([400, 200]);
    expect(Array.from(one({ ...change, baselineOn: null }).dayCosts.slice(0, 2))).toEqual([66, 33]);
  });

  test('however long it has been overdue, leaving it out costs more than any day, by the stated amount', () => {
    for (const safetyCritical of [true, false])
      for (const overdueDays of [0, 5, 60, 400, 2_500]) {
        const item = owed('one', 'brake-reserve-check', {
          safetyCritical,
          earlyOn: dateOf(-overdueDays - 30),
          dueOn: dateOf(-overdueDays),
          lateOn: dateOf(-overdueDays + 1),
        });
        const [parcel] = parcels([item]);
        expect(parcel!.item.leftOutCost - Math.max(...parcel!.item.dayCosts)).toBe(weights.leftOutMinor);
        expect(leftOutCostOf(item, frameOf([item]))).toBe(parcel!.item.leftOutCost);
      }
  });

  test('a risk beyond all numbers stays one: no day of long ago becomes cheap', () => {
    const dearest = { ...weights, riskPerLateDayMinor: { safetyCritical: 1_000_000, other: 1_000_000 } };
    const item = owed('one', 'regulator-check', {
      earlyOn: '2019-01-01',
      dueOn: '2019-01-01',
      lateOn: '2019-01-02',
    });
    const [parcel] = workOf([item, { ...item, key: 'again' }], {
      ...frameOf([item]),
      weights: dearest,
    }).parcels;
    expect(parcel!.owed).toHaveLength(2);
    expect(Math.min(...parcel!.item.dayCosts)).toBe(2 ** 31 - 1);
    expect(parcel!.item.leftOutCost).toBeGreaterThan(2 ** 31);
  });
});

test('it takes its minutes of bays and people, of its kind of bay, of people with each competence and with all', () => {
  const items = [
    owed('one', 'a', { labourMinutes: 40, competences: ['hydraulics', 'brakes'], bayKind: 'lift' }),
    owed('one', 'b', { labourMinutes: null, competences: [], bayKind: null }),
  ];
  const { resources } = frameOf(items);
  expect(resources).toEqual([
    'bays',
    'people',
    'bay kind lift',
    'competence brakes',
    'competence brakes+hydraulics',
    'competence hydraulics',
    'throughout competence brakes',
    'throughout competence brakes+hydraulics',
    'throughout competence hydraulics',
  ]);
  // half an hour where the rule names no minutes
  expect(parcels(items).map(({ item }) => item.minutes)).toEqual([
    [40, 40, 40, 40, 40, 40, 40, 40, 40],
    [30, 30, 0, 0, 0, 0, 0, 0, 0],
  ]);
});

describe('what belongs together', () => {
  const test20 = (position: string, change: Partial<OwedItem> = {}): OwedItem =>
    owed('one', 'precharge-test', { position, labourMinutes: 20, ...change });

  test('the same task, due alike, needing the same, is one piece of work', () => {
    const items = [test20('front-left'), test20('front-right'), test20('rear-left', { dueOn: dateOf(4) })];
    const made = parcels(items);
    expect(made.map(({ owed: own }) => own.length)).toEqual([2, 1]);
    expect(made[0]!.item).toMatchObject({ minutes: [40, 40, 40, 40, 40] });
    const [alone] = parcels(items.slice(0, 1));
    expect(made[0]!.item.leftOutCost).toBe(2 * alone!.item.leftOutCost);
    expect(Array.from(made[0]!.item.dayCosts)).toEqual(Array.from(alone!.item.dayCosts, (cost) => 2 * cost));
  });

  test('work that needs somebody else is not joined, lest it keep the rest back', () => {
    const items = [
      test20('front-left'),
      test20('brake-accumulator', { competences: ['brakes', 'hydraulics'] }),
    ];
    expect(parcels(items)).toHaveLength(2);
  });

  test('what comes first and what settles what, at its place', () => {
    const made = parcels([
      owed('one', 'fluid-change', { satisfies: ['filter-clean'] }),
      owed('one', 'filter-clean', { doBefore: ['hose-inspection'] }),
      owed('one', 'hose-inspection', { position: 'front' }),
      owed('one', 'precharge-test', { position: 'front', doBefore: ['hose-inspection'] }),
      owed('one', 'precharge-test', { position: 'rear', doBefore: ['hose-inspection'], dueOn: dateOf(5) }),
    ]);
    expect(made.map(({ item }) => item.settles)).toEqual([[1], [], [], [], []]);
    expect(made.map(({ item }) => item.doFirst)).toEqual([[], [2], [], [2], []]);
  });

  test('of very much work no more pieces than a plan takes, each item in one of them, none lost', () => {
    for (let seed = 1; seed <= 30; seed++) {
      const random = new SeededRandom(seed);
      const items = Array.from({ length: random.integer(MAX_ITEMS + 1, 30) }, (_, at) => {
        const dueDay = random.integer(-20, DAYS + 20);
        return owed('one', `task-${at}`, {
          dueOn: dateOf(dueDay),
          // windows that have today in common
          earlyOn: dateOf(-30),
          lateOn: dateOf(DAYS + 30),
          competences: random.next() < 0.3 ? ['brakes'] : ['hydraulics'],
        });
      });
      const made = parcels(items);
      expect(made).toHaveLength(MAX_ITEMS);
      expect(made.flatMap(({ owed: own }) => own.map(({ key }) => key)).sort()).toEqual(
        items.map(({ key }) => key).sort(),
      );
      // ten pieces are enough to keep the two kinds of people apart
      for (const { owed: own } of made)
        expect(new Set(own.map(({ competences }) => competences.join())).size).toBe(1);
      for (const { item, owed: own } of made)
        expect(item.minutes[0]).toBe(own.reduce((sum, { labourMinutes }) => sum + labourMinutes!, 0));
    }
  });

  describe('work whose windows have no day in common', () => {
    const onItsDay = (day: number, change: Partial<OwedItem> = {}): OwedItem =>
      owed('one', `task-${day}`, {
        earlyOn: dateOf(day),
        dueOn: dateOf(day),
        lateOn: dateOf(day),
        ...change,
      });
    const keysOf = (items: readonly OwedItem[]): string[] => items.map(({ key }) => key);
    const days = [...Array(DAYS).keys()];

    test('is never joined: beyond what a plan takes, what may wait longest is told apart', () => {
      const items = days.map((day) => onItsDay(day)).reverse();
      const { parcels: made, beyond } = workOf(items, frameOf(items));
      expect(made.map(({ item }) => item.latestDay)).toEqual([9, 8, 7, 6, 5, 4, 3, 2, 1, 0]);
      expect(keysOf(beyond)).toEqual(['task-13', 'task-12', 'task-11', 'task-10']);
    });

    test('nothing is kept whose first is beyond', () => {
      const items = days.map((day) => onItsDay(day, day === 3 ? { doBefore: ['task-12'] } : {}));
      const { parcels: made, beyond } = workOf(items, frameOf(items));
      expect(keysOf(beyond)).toEqual(['task-3', 'task-10', 'task-11', 'task-12', 'task-13']);
      expect(made).toHaveLength(9);
    });
  });
});

test('a visit with work of two kinds takes a bay of both for its whole length, and who is needed is there throughout', () => {
  const items = [owed('one', 'fluid-change', { labourMinutes: 90 }), owed('one', 'brake-check', BRAKES)];
  const frame = resourcesOf(items);
  const taken = (work: readonly OwedItem[]): Record<string, number> =>
    Object.fromEntries(minutesOf(work, frame).map((minutes, at) => [frame.resources[at] ?? '', minutes]));
  expect(taken(items)).toEqual({
    bays: 120,
    people: 120,
    'bay kind lift': 90,
    'bay kind brake-tester': 30,
    'bay kind brake-tester+lift': 120,
    'competence brakes': 30,
    'competence hydraulics': 90,
    'throughout competence brakes': 120,
    'throughout competence hydraulics': 120,
  });
  expect(taken(items.slice(1))).toMatchObject({
    'bay kind brake-tester+lift': 0,
    'throughout competence brakes': 30,
    'throughout competence hydraulics': 0,
  });
});
