import fc from 'fast-check';
import type { MeterPoint } from '../../../src/core/usage/meter-track';
import { offRoadCalendar } from '../../../src/core/usage/off-road';
import { estimateUsage, forecastUsage, type UsageRecord } from '../../../src/core/usage/usage-estimate';
import { defaultUsageModel } from '../../../src/core/usage/usage-model';

const MODEL = defaultUsageModel('km');

function steady(count: number, everyDays: number, perDay: number, from = 0): MeterPoint[] {
  return Array.from({ length: count }, (_, i) => ({
    day: from + i * everyDays,
    total: 1_000 + i * everyDays * perDay,
  }));
}

const rateOf = (record: UsageRecord): number | null => estimateUsage(record, MODEL).ratePerDay;

const records = fc
  .record({
    steps: fc.array(
      fc.record({ days: fc.integer({ min: 1, max: 40 }), total: fc.integer({ min: 0, max: 9_000 }) }),
      { minLength: 0, maxLength: 80 },
    ),
    statedPerYear: fc.option(fc.integer({ min: 500, max: 200_000 })),
  })
  .map(({ steps, statedPerYear }) => {
    let [day, total] = [0, 500];
    const track = [{ day, total }];
    for (const step of steps) {
      day += step.days;
      total += step.total;
      track.push({ day, total });
    }
    return { track, statedPerYear };
  });

describe('which readings count', () => {
  test('at most 400 days before the newest reading', () => {
    const track = [
      ...steady(10, 60, 20),
      ...steady(10, 40, 90, 600).map((p) => ({ ...p, total: p.total + 12_000 })),
    ];
    const estimate = estimateUsage({ track }, MODEL);
    expect(estimate.used[0]!.day).toBe(600);
    expect(estimate.leftOut).toHaveLength(10);
    expect(new Set(estimate.leftOut.map(({ reason }) => reason))).toEqual(new Set(['older-than-window']));
    expect(estimate.ratePerDay).toBe(90);
    expect(estimate.basis).toBe('readings');
  });

  test('since the last duty change, that day included', () => {
    const track = [
      ...steady(6, 30, 20),
      ...steady(6, 30, 90, 180).map((p) => ({ ...p, total: p.total + 3_600 })),
    ];
    const estimate = estimateUsage({ track, dutyChangeDays: [10, 180] }, MODEL);
    expect(estimate.ratePerDay).toBe(90);
    expect(estimate.leftOut.every(({ reason }) => reason === 'before-duty-change')).toBe(true);
    const changed = estimateUsage({ track, dutyChangeDays: [1_000], statedPerYear: 36_500 }, MODEL);
    expect([changed.basis, changed.ratePerDay, changed.used]).toEqual(['stated', 100, []]);
    expect(changed.origin).toEqual(track.at(-1));
  });

  test('daily readings are thinned to the last of each week, counted back from the newest', () => {
    const estimate = estimateUsage({ track: steady(401, 1, 33) }, MODEL);
    expect(estimate.used).toHaveLength(58);
    expect(estimate.used.at(-1)!.day).toBe(400);
    expect(estimate.used.at(-2)!.day).toBe(393);
    expect(estimate.used.length + estimate.leftOut.length).toBe(401);
    expect(estimate.ratePerDay).toBe(33);
  });

  test('one gross error does not move the rate far', () => {
    const track = steady(13, 30, 40).map((point, i) =>
      i === 6 ? { ...point, total: point.total + 50_000 } : point,
    );
    expect(rateOf({ track })).toBeCloseTo(40, 9);
  });
});

describe('few readings or none', () => {
  test('nothing at all: none, and what is missing', () => {
    const estimate = estimateUsage({ track: [] }, MODEL);
    expect(estimate.basis).toBe('none');
    expect(estimate.missing).toEqual([
      'a reading of the meter',
      'two readings at least a week apart, or a stated yearly distance',
    ]);
    expect(forecastUsage(estimate, MODEL)).toBeNull();
  });

  test('the stated distance alone: a rate, but without a reading no forecast', () => {
    const estimate = estimateUsage({ track: [], statedPerYear: 29_200 }, MODEL);
    expect([estimate.basis, estimate.ratePerDay]).toEqual(['stated', 80]);
    expect(estimate.rateLow).toBeCloseTo(80 * (1 - 1.96 * 0.25), 2);
    expect(estimate.missing).toEqual(['a reading of the meter']);
    expect(forecastUsage(estimate, MODEL)).toBeNull();
  });

  test('one reading starts a forecast at the stated rate', () => {
    const estimate = estimateUsage({ track: [{ day: 50, total: 700 }], statedPerYear: 29_200 }, MODEL);
    expect(estimate.leftOut).toEqual([{ point: { day: 50, total: 700 }, reason: 'too-short-a-span' }]);
    expect(forecastUsage(estimate, MODEL)).toMatchObject({ originDay: 50, originTotal: 700, ratePerDay: 80 });
  });

  test('three readings: between the two, nearer to the readings the longer they span', () => {
    const weights = [14, 40, 80].map((days) => {
      const track = [0, days / 2, days].map((day) => ({ day, total: 100 + 40 * day }));
      const estimate = estimateUsage({ track, statedPerYear: 29_200 }, MODEL);
      expect(estimate.basis).toBe('readings-and-stated');
      expect(estimate.ratePerDay).toBeCloseTo(estimate.ownWeight * 40 + (1 - estimate.ownWeight) * 80, 9);
      return estimate.ownWeight;
    });
    expect(weights).toEqual([...weights].sort((a, b) => a - b));
    // by hand for 40 days: relative variance 1.2 x 2 / 40 + 0.01 + 0.01 x 325 / 365 + 0.04 / 365 x 40 = 0.0832877,
    // stated 0.0625, weight 0.0625 / 0.1457877
    expect(weights[1]).toBeCloseTo(0.428706, 6);
  });

  test('three readings without a stated distance stand alone, with a wider forecast than many', () => {
    const few = estimateUsage({ track: steady(3, 10, 40) }, MODEL);
    const many = estimateUsage({ track: steady(13, 30, 40) }, MODEL);
    expect([few.basis, few.ratePerDay]).toEqual(['readings', 40]);
    expect(few.rateVariance).toBeGreaterThan(2 * many.rateVariance);
  });

  test('a stated distance of zero or less is refused', () => {
    for (const statedPerYear of [0, -1, NaN]) {
      expect(() => estimateUsage({ track: [], statedPerYear }, MODEL)).toThrow('not a yearly distance');
    }
  });
});

describe('days off the road', () => {
  test('are counted once, half-open, up to the end of a day', () => {
    const calendar = offRoadCalendar([
      { fromDay: 10, untilDay: 15 },
      { fromDay: 13, untilDay: 20 },
      { fromDay: 30, untilDay: 30 },
      { fromDay: 40, untilDay: null },
    ]);
    expect([9, 10, 14, 19, 20, 39, 40, 99].map((day) => calendar.onRoadDay(day))).toEqual([
      9, 9, 9, 9, 10, 29, 29, 29,
    ]);
  });

  test('do not count as elapsed', () => {
    const track = [0, 30, 60, 120, 150, 180].map((day) => ({ day, total: 50 * (day > 60 ? day - 30 : day) }));
    const estimate = estimateUsage({ track, offRoad: [{ fromDay: 70, untilDay: 100 }] }, MODEL);
    expect(estimate.ratePerDay).toBe(50);
    expect(estimate.elapsedDays).toBe(150);
  });

  test('more of them never lower the rate', () => {
    const interval = fc.record({
      fromDay: fc.integer({ min: -10, max: 900 }),
      length: fc.integer({ min: 1, max: 60 }),
    });
    fc.assert(
      fc.property(records, fc.array(interval, { minLength: 1, maxLength: 3 }), (record, intervals) => {
        const [first, ...rest] = intervals.map(({ fromDay, length }) => ({
          fromDay,
          untilDay: fromDay + length,
        }));
        const without = estimateUsage({ ...record, offRoad: rest }, MODEL);
        const withMore = estimateUsage({ ...record, offRoad: [first!, ...rest] }, MODEL);
        // where the vehicle is said to have stood all the time there is no rate of its own to compare
        fc.pre(without.basis === withMore.basis && without.ratePerDay !== null);
        expect(withMore.ratePerDay!).toBeGreaterThanOrEqual(without.ratePerDay * (1 - 1e-12));
      }),
      { numRuns: 300 },
    );
  });
});

test('the order of readings, duty changes and intervals changes nothing', () => {
  fc.assert(
    fc.property(records, fc.infiniteStream(fc.nat()), (record, stream) => {
      const shuffled = [...record.track]
        .map((point) => [stream.next().value as number, point] as const)
        .sort(([a], [b]) => a - b)
        .map(([, point]) => point);
      const offRoad = [
        { fromDay: 20, untilDay: 25 },
        { fromDay: 22, untilDay: 40 },
      ];
      const dutyChangeDays = [5, 60];
      expect(
        estimateUsage(
          { ...record, track: shuffled, offRoad: [...offRoad].reverse(), dutyChangeDays: [60, 5] },
          MODEL,
        ),
      ).toEqual(estimateUsage({ ...record, offRoad, dutyChangeDays }, MODEL));
    }),
    { numRuns: 100 },
  );
});

test('more use on every day raises the rate by that much', () => {
  fc.assert(
    fc.property(records, fc.integer({ min: 1, max: 200 }), (record, extra) => {
      const busier = record.track.map(({ day, total }) => ({ day, total: total + extra * day }));
      const before = estimateUsage(record, MODEL);
      const after = estimateUsage({ ...record, track: busier }, MODEL);
      fc.pre(before.ratePerDay !== null);
      expect(after.ratePerDay!).toBeCloseTo(before.ratePerDay + extra * after.ownWeight, 6);
    }),
    { numRuns: 200 },
  );
});

test('the newest reading is the only now: a record that ends later in the calendar gives the same rate', () => {
  const track = steady(20, 17, 61);
  const moved = track.map((point) => ({ ...point, day: point.day + 10_000 }));
  expect(rateOf({ track: moved })).toBe(rateOf({ track }));
});

test('own increments count, the pooled value holds them back', () => {
  const wild = steady(13, 30, 40).map((point, i) => ({ ...point, total: point.total + (i % 2) * 600 }));
  const calm = estimateUsage({ track: steady(13, 30, 40) }, MODEL).incrementVariance;
  expect(calm).toBeCloseTo((8 * 2) / (8 + 12), 12);
  expect(estimateUsage({ track: wild }, MODEL).incrementVariance).toBeGreaterThan(2);
});
