import fc from 'fast-check';
import { DemandItem, FallsDue } from '../../../src/core/demand/demand-item';
import { demandByMonth, MonthlyDemand } from '../../../src/core/demand/demand-by-month';
import { dueCurve } from '../../../src/core/demand/due-curve';
import { WeightedCount, weightedSum } from '../../../src/core/demand/weighted-sum';
import { latticeMoments, poissonBinomial } from '../../../src/core/demand/lattice-distribution';
import { addDays, toEpochDay } from '../../../src/core/shared/calendar-date';
import { InputError } from '../../../src/core/shared/input-error';
import { SeededRandom } from '../../../src/core/shared/seeded-random';
import { normalQuantile } from '../../../src/core/shared/statistics-normal';

const FROM = '2027-01-01';

function item(part: Partial<DemandItem> = {}): DemandItem {
  return {
    code: 'unit-1',
    task: 'unit-recharge',
    labourMinutes: 45,
    consumables: [{ item: 'nitrogen', quantity: 0.035, unit: 'm³' }],
    fallsDue: { kind: 'fixed', on: '2027-02-10' },
    repeatsEveryDays: null,
    ...part,
  };
}

/** Due in January 2027 with the given probability, else never. */
const inJanuary = (probability: number): FallsDue => ({
  kind: 'curve',
  points: [{ on: '2027-01-10', probability }],
});

const taskOf = (month: MonthlyDemand | undefined, task: string) =>
  month!.tasks.find((each) => each.task === task)!;
const materialOf = (month: MonthlyDemand | undefined, name: string) =>
  month!.consumables.find((each) => each.item === name)!;

/** Every outcome of the items with its probability: quantity by quantity, the band read off. */
function enumerated(trials: readonly { probability: number; quantity: number }[]) {
  const outcomes = new Map<number, number>();
  for (let set = 0; set < 2 ** trials.length; set++) {
    let probability = 1;
    let milli = 0;
    trials.forEach((trial, i) => {
      const happens = (set >> i) & 1;
      probability *= happens ? trial.probability : 1 - trial.probability;
      milli += happens * Math.round(trial.quantity * 1_000);
    });
    outcomes.set(milli, (outcomes.get(milli) ?? 0) + probability);
  }
  const sorted = [...outcomes].sort(([a], [b]) => a - b);
  const expected = sorted.reduce((sum, [milli, p]) => sum + (milli / 1_000) * p, 0);
  const quantile = (level: number) => {
    let sum = 0;
    for (const [milli, p] of sorted) if ((sum += p) >= level - 1e-9) return milli / 1_000;
    return NaN;
  };
  return {
    expected,
    variance: sorted.reduce((sum, [milli, p]) => sum + (milli / 1_000 - expected) ** 2 * p, 0),
    low: quantile(0.05),
    high: quantile(0.95),
  };
}

test('one sure item: everything in its month, nothing elsewhere', () => {
  const months = demandByMonth([item()], FROM, 3);
  expect(months.map(({ month }) => month)).toEqual(['2027-01', '2027-02', '2027-03']);
  const nothing = { expected: 0, low: 0, high: 0, variance: 0, band: 'exact', step: 0 };
  expect(months[0]).toEqual({
    month: '2027-01',
    fromOn: '2027-01-01',
    untilOn: '2027-02-01',
    tasks: [{ task: 'unit-recharge', ...nothing }],
    labourMinutes: nothing,
    expectedWithoutLabour: 0,
    consumables: [{ item: 'nitrogen', unit: 'm³', ...nothing }],
  });
  expect(taskOf(months[1], 'unit-recharge')).toMatchObject({ expected: 1, low: 1, high: 1, variance: 0 });
  expect(months[1]?.labourMinutes).toMatchObject({ expected: 45, low: 45, high: 45, band: 'exact' });
  expect(materialOf(months[1], 'nitrogen')).toMatchObject({ expected: 0.035, low: 0.035, high: 0.035 });
  expect(taskOf(months[2], 'unit-recharge')).toMatchObject({ expected: 0, high: 0 });
});

test('it is not a count of medians: three units at 30 % are about one recharge', () => {
  const units = [1, 2, 3].map((n) => item({ code: `unit-${n}`, fallsDue: inJanuary(0.3) }));
  const [january] = demandByMonth(units, FROM, 1);
  // 0.343, 0.441, 0.189, 0.027
  expect(taskOf(january, 'unit-recharge')).toMatchObject({ low: 0, high: 2 });
  expect(taskOf(january, 'unit-recharge').expected).toBeCloseTo(0.9, 12);
  expect(taskOf(january, 'unit-recharge').variance).toBeCloseTo(0.63, 12);
});

test('as every outcome enumerated: numbers, minutes, litres, cubic metres', () => {
  const trial = fc.record({
    probability: fc.double({ min: 0, max: 1, noNaN: true }),
    labourMinutes: fc.integer({ min: 0, max: 240 }),
    litres: fc.integer({ min: 0, max: 600 }).map((n) => n / 100),
    cubicMetres: fc.integer({ min: 0, max: 200 }).map((n) => n / 1_000),
  });
  fc.assert(
    fc.property(fc.array(trial, { minLength: 1, maxLength: 8 }), (trials) => {
      const items = trials.map(({ probability, labourMinutes, litres, cubicMetres }, i) =>
        item({
          code: `item-${i}`,
          labourMinutes,
          fallsDue: inJanuary(probability),
          consumables: [
            { item: 'fluid', quantity: litres, unit: 'l' },
            { item: 'nitrogen', quantity: cubicMetres, unit: 'm³' },
          ],
        }),
      );
      const [january] = demandByMonth(items, FROM, 1);
      const compared: [{ expected: number; low: number; high: number; variance: number }, number[]][] = [
        [taskOf(january, 'unit-recharge'), trials.map(() => 1)],
        [january!.labourMinutes, trials.map(({ labourMinutes }) => labourMinutes)],
        [materialOf(january, 'fluid'), trials.map(({ litres }) => litres)],
        [materialOf(january, 'nitrogen'), trials.map(({ cubicMetres }) => cubicMetres)],
      ];
      for (const [figure, quantities] of compared) {
        const truth = enumerated(
          trials.map(({ probability }, i) => ({ probability, quantity: quantities[i]! })),
        );
        expect(figure).toMatchObject({ band: 'exact', low: truth.low, high: truth.high });
        expect(figure.expected).toBeCloseTo(truth.expected, 9);
        expect(figure.variance).toBeCloseTo(truth.variance, 6);
      }
    }),
    { numRuns: 80, seed: 20270101 },
  );
});

test.each([
  // 5 and 95 % quantiles of the binomial: scipy.stats.binom.ppf of SciPy 1.17.1
  [20, 0.5, 6, 14],
  [100, 0.1, 5, 15],
  [350, 0.04, 8, 20],
  [2_000, 0.013, 18, 35],
  [10_000, 0.3, 2925, 3075],
])('%d equal items at %d: the band of the binomial', (n, probability, low, high) => {
  const items = Array.from({ length: n }, (_, i) =>
    item({ code: `u${i}`, fallsDue: inJanuary(probability) }),
  );
  const [january] = demandByMonth(items, FROM, 1);
  expect(taskOf(january, 'unit-recharge')).toMatchObject({ low, high, band: 'exact' });
  expect(taskOf(january, 'unit-recharge').variance).toBeCloseTo(n * probability * (1 - probability), 6);
  expect(january?.labourMinutes).toMatchObject({ low: low * 45, high: high * 45, step: 45 });
});

function mixedFleet(count: number, seed: number): DemandItem[] {
  const random = new SeededRandom(seed);
  const kinds = [
    { task: 'unit-recharge', labourMinutes: 45, item: 'nitrogen', quantity: 0.035, unit: 'm³' },
    { task: 'main-accumulator-recharge', labourMinutes: 70, item: 'nitrogen', quantity: 0.052, unit: 'm³' },
    { task: 'fluid-change', labourMinutes: 95, item: 'fluid', quantity: 5.3, unit: 'l' },
    { task: 'filter-clean', labourMinutes: 25, item: 'filter', quantity: 1, unit: 'piece' },
    { task: 'anti-sink-hold-test', labourMinutes: 33, item: 'seal', quantity: 2, unit: 'piece' },
  ];
  return Array.from({ length: count }, (_, i) => {
    const { task, labourMinutes, ...consumable } = kinds[random.integer(0, kinds.length - 1)]!;
    const medianOn = addDays(FROM, random.integer(-60, 700));
    const before = random.integer(5, 150);
    return {
      code: `item-${i}`,
      task,
      labourMinutes,
      consumables: [consumable],
      fallsDue: {
        kind: 'quantiles',
        earliestOn: addDays(medianOn, -before),
        medianOn,
        latestOn: addDays(medianOn, random.integer(before, 3 * before)),
        horizonOn: null,
      },
      repeatsEveryDays: task === 'filter-clean' ? 120 : null,
    };
  });
}

test('as simulated: 40 items over 12 months, 20,000 times', () => {
  const items = mixedFleet(40, 7);
  const months = demandByMonth(items, FROM, 12);
  const runs = 20_000;
  const random = new SeededRandom(11);
  const score90 = normalQuantile(0.9);
  const minutes = months.map(() => new Float64Array(runs));
  const numbers = months.map(() => new Float64Array(runs));
  const starts = months.map(({ fromOn }) => toEpochDay(fromOn));
  const end = toEpochDay(months.at(-1)!.untilOn);
  const drawn = items.map(({ fallsDue, repeatsEveryDays, labourMinutes }) => {
    if (fallsDue.kind !== 'quantiles') throw new Error('quantiles only');
    const [early, median, late] = [fallsDue.earliestOn!, fallsDue.medianOn!, fallsDue.latestOn!].map(
      toEpochDay,
    );
    return {
      early: early!,
      median: median!,
      late: late!,
      every: repeatsEveryDays ?? Infinity,
      labourMinutes,
    };
  });
  for (let run = 0; run < runs; run++) {
    for (const { early, median, late, every, labourMinutes } of drawn) {
      const z = random.normal() / score90;
      const first = Math.ceil(median + (z < 0 ? z * (median - early) : z * (late - median)));
      for (let day = Math.max(first, starts[0]!); day < end; day += every) {
        const month = starts.findLastIndex((start) => start <= day);
        minutes[month]![run]! += labourMinutes!;
        numbers[month]![run]! += 1;
      }
    }
  }
  months.forEach((month, index) => {
    const { expected, variance, low, high } = month.labourMinutes;
    const sample = minutes[index]!;
    const mean = sample.reduce((a, b) => a + b) / runs;
    expect(Math.abs(mean - expected)).toBeLessThan(4.5 * Math.sqrt(variance / runs));
    const share = (holds: (value: number) => boolean) => sample.filter(holds).length / runs;
    // definition of a quantile, within 4.5 standard errors of a share of 5 %
    const slack = 4.5 * Math.sqrt((0.05 * 0.95) / runs);
    expect(share((value) => value < low)).toBeLessThan(0.05 + slack);
    expect(share((value) => value <= low)).toBeGreaterThan(0.05 - slack);
    expect(share((value) => value > high)).toBeLessThan(0.05 + slack);
    expect(share((value) => value >= high)).toBeGreaterThan(0.05 - slack);
    const all = month.tasks.reduce((sum, task) => sum + task.expected, 0);
    expect(numbers[index]!.reduce((a, b) => a + b) / runs).toBeCloseTo(all, 1);
  });
});

test('the months of an item add up to the probability of falling due within them', () => {
  const items = mixedFleet(60, 3).filter(({ repeatsEveryDays }) => repeatsEveryDays === null);
  const months = demandByMonth(items, FROM, 18);
  const lastDay = toEpochDay(months.at(-1)!.untilOn) - 1;
  const total = months
    .flatMap(({ tasks }) => tasks.map(({ expected }) => expected))
    .reduce((a, b) => a + b, 0);
  const within = items.reduce((sum, { fallsDue }) => sum + dueCurve(fallsDue, '')(lastDay), 0);
  expect(total).toBeCloseTo(within, 9);
});

test('the order of the items changes nothing', () => {
  const items = mixedFleet(200, 5);
  const months = demandByMonth(items, FROM, 6);
  demandByMonth([...items].reverse(), FROM, 6).forEach((reversed, index) => {
    reversed.tasks.forEach((figure, task) => {
      const other = months[index]!.tasks[task]!;
      expect([figure.task, figure.low, figure.high]).toEqual([other.task, other.low, other.high]);
      expect(figure.expected).toBeCloseTo(other.expected, 9);
    });
    expect(reversed.labourMinutes.low).toBe(months[index]!.labourMinutes.low);
    expect(reversed.labourMinutes.high).toBe(months[index]!.labourMinutes.high);
  });
});

test('work whose labour nobody stated is counted apart; equal materials of one item add up', () => {
  const filters = [1, 2].map(() => ({ item: 'filter', quantity: 1, unit: 'piece' }));
  const [january] = demandByMonth(
    [
      item({ labourMinutes: null, fallsDue: inJanuary(0.4), consumables: filters }),
      item({ labourMinutes: 30, fallsDue: inJanuary(1), consumables: [] }),
    ],
    FROM,
    1,
  );
  expect(january?.expectedWithoutLabour).toBeCloseTo(0.4, 12);
  expect(january?.labourMinutes).toMatchObject({ expected: 30, low: 30, high: 30 });
  expect(materialOf(january, 'filter')).toMatchObject({ expected: 0.8, low: 0, high: 2, step: 2 });
});

test('no items: months with nothing in them', () => {
  expect(demandByMonth([], FROM, 2).map(({ tasks, consumables }) => [tasks, consumables])).toEqual([
    [[], []],
    [[], []],
  ]);
});

test.each<[string, Partial<DemandItem>, string]>([
  ['negative minutes', { labourMinutes: -1 }, 'items[0].labourMinutes'],
  ['an interval of no days', { repeatsEveryDays: 0 }, 'items[0].repeatsEveryDays'],
  [
    'no number of litres',
    { consumables: [{ item: 'fluid', quantity: NaN, unit: 'l' }] },
    'items[0].consumables[0].quantity',
  ],
  ['a day that does not exist', { fallsDue: { kind: 'fixed', on: '2027-13-01' } }, 'items[0].fallsDue.on'],
])('refuses %s', (_, part, field) => {
  expect(() => demandByMonth([item(part)], FROM, 1)).toThrow(InputError);
  expect(() => demandByMonth([item(part)], FROM, 1)).toThrow(expect.objectContaining({ field }) as Error);
});

describe('weights that no quick grid holds', () => {
  const bernoulli = (weight: number, probability: number): WeightedCount => {
    const counts = poissonBinomial([probability]);
    return { weight, counts, ...latticeMoments(counts) };
  };

  test('thousands of different weights are rounded, and the band stays that of the sum', () => {
    const random = new SeededRandom(17);
    const terms = Array.from({ length: 4_000 }, () =>
      bernoulli(random.integer(10_000, 300_000) / 1_000, 0.02 + 0.2 * random.next()),
    );
    const figure = weightedSum(terms, 0.001);
    expect(figure.band).toBe('rounded');
    // so many terms are as good as normal
    const sd = Math.sqrt(figure.variance);
    expect(Math.abs(figure.low - (figure.expected - 1.6448536 * sd))).toBeLessThan(0.02 * sd);
    expect(Math.abs(figure.high - (figure.expected + 1.6448536 * sd))).toBeLessThan(0.02 * sd);
  });

  test('a weight between two steps of the grid', () => {
    const figure = weightedSum([bernoulli(0.0125, 0.5), bernoulli(0.0125, 0.5)], 0.001);
    expect(figure).toMatchObject({ band: 'rounded', expected: 0.0125, low: 0, high: 0.025 });
  });

  test('weights far below a step', () => {
    const figure = weightedSum([bernoulli(0.0001, 0.5)], 0.001);
    expect(figure).toMatchObject({ band: 'rounded', expected: 0.00005, low: 0, high: 0.001 });
  });
});

test('10,000 items over 18 months keep exact bands', () => {
  const months = demandByMonth(mixedFleet(10_000, 1), FROM, 18);
  expect(months).toHaveLength(18);
  expect(months.every(({ labourMinutes }) => labourMinutes.band === 'exact')).toBe(true);
});
