import fc from 'fast-check';
import { fromEpochDay, toEpochDay } from '../../../src/core/shared/calendar-date';
import { normalQuantile } from '../../../src/core/shared/statistics-normal';
import { estimateUsage, forecastUsage } from '../../../src/core/usage/usage-estimate';
import {
  dayReaching,
  growingSpread,
  probabilityReached,
  relativeSd,
  totalAt,
  type UsageForecast,
  wholeDayReached,
} from '../../../src/core/usage/usage-forecast';
import { defaultUsageModel } from '../../../src/core/usage/usage-model';

const KNOT_DAYS = [0, 30, 90, 180, 365, 730];

const forecasts = fc
  .record({
    ratePerDay: fc.double({ min: 0.1, max: 900, noNaN: true }),
    variances: fc.array(fc.double({ min: 0.01, max: 200, noNaN: true }), { minLength: 6, maxLength: 6 }),
  })
  .map(({ ratePerDay, variances }): UsageForecast => ({
    unit: 'km',
    originDay: 20_000,
    originTotal: 50_000,
    ratePerDay,
    spread: growingSpread(KNOT_DAYS.map((afterDays, i) => ({ afterDays, varianceDays: variances[i]! }))),
    horizonDays: 3_650,
  }));
const probabilities = fc.double({ min: 0.01, max: 0.99, noNaN: true });
const distances = fc.double({ min: 0, max: 300_000, noNaN: true });

// null is later than any day
const late = (day: number | null): number => day ?? Infinity;

describe('80 km a day, 96,080 km on 2026-11-25', () => {
  const today = toEpochDay('2026-11-25');
  const track = Array.from({ length: 14 }, (_, i) => ({ day: today - 28 * i, total: 96_080 - 80 * 28 * i }));
  const model = defaultUsageModel('km');
  const forecast = forecastUsage(estimateUsage({ track }, model), model)!;

  test.each([
    [120_000, 299, '2027-09-20'],
    [102_000, 74, '2027-02-07'],
  ])('%d km after %d days', (total, days, date) => {
    expect(dayReaching(forecast, total, 0.5)).toBe(today + days);
    expect(fromEpochDay(wholeDayReached(dayReaching(forecast, total, 0.5)!))).toBe(date);
    expect(dayReaching(forecast, total, 0.1)!).toBeLessThan(today + days);
    expect(dayReaching(forecast, total, 0.9)!).toBeGreaterThan(today + days);
  });

  test('a plain object', () => {
    expect(JSON.parse(JSON.stringify(forecast))).toEqual(forecast);
  });

  test('every whole day of ten years is met exactly, in kilometres and in miles', () => {
    for (let days = 1; days <= 3_650; days++) {
      expect(wholeDayReached(dayReaching(forecast, 96_080 + 80 * days, 0.5)!)).toBe(today + days);
    }
    const miles = track.map((point) => ({ ...point, total: (point.total / 80) * 49.7 * 1.609344 }));
    const inMiles = forecastUsage(estimateUsage({ track: miles }, model), model)!;
    for (let days = 1; days <= 3_650; days++) {
      const total = (96_080 / 80 + days) * 49.7 * 1.609344;
      expect(wholeDayReached(dayReaching(inMiles, total, 0.5)!)).toBe(today + days);
    }
  });
});

test('with the increments alone the day of arrival is nearly normal: m +/- z sqrt(a m) for a distance of m days', () => {
  const forecast: UsageForecast = {
    unit: 'km',
    originDay: 0,
    originTotal: 0,
    ratePerDay: 1,
    spread: [
      { afterDays: 0, varianceDays: 2 },
      { afterDays: 100, varianceDays: 2 },
    ],
    horizonDays: 3_650,
  };
  // k^2 - 2 k + 1 - z^2 a / m = 0, so k = 1 +/- z sqrt(a / m): by hand for m = 200, a = 2, z = 1.2815515655
  expect(dayReaching(forecast, 200, 0.1)).toBeCloseTo(200 - 1.2815515655446004 * 20, 9);
  expect(dayReaching(forecast, 200, 0.9)).toBeCloseTo(200 + 1.2815515655446004 * 20, 9);
});

test('totals: later and likelier is more', () => {
  fc.assert(
    fc.property(
      forecasts,
      fc.double({ min: 0, max: 2_000, noNaN: true }),
      fc.double({ min: 0, max: 500, noNaN: true }),
      probabilities,
      probabilities,
      (forecast, elapsed, more, p, q) => {
        const day = forecast.originDay + elapsed;
        const slack = 1e-9 * totalAt(forecast, day, p);
        expect(totalAt(forecast, day + more, p)).toBeGreaterThanOrEqual(totalAt(forecast, day, p) - slack);
        expect(totalAt(forecast, day, Math.max(p, q))).toBeGreaterThanOrEqual(
          totalAt(forecast, day, Math.min(p, q)),
        );
      },
    ),
  );
});

test('a larger total is never earlier, a higher probability never earlier, a higher rate never later', () => {
  fc.assert(
    fc.property(forecasts, distances, distances, probabilities, probabilities, (forecast, d, more, p, q) => {
      const total = forecast.originTotal + d;
      const day = dayReaching(forecast, total, p);
      const slack = 1e-6;
      expect(late(dayReaching(forecast, total + more, p))).toBeGreaterThanOrEqual(late(day) - slack);
      const [low, high] = [Math.min(p, q), Math.max(p, q)];
      expect(late(dayReaching(forecast, total, high))).toBeGreaterThanOrEqual(
        late(dayReaching(forecast, total, low)) - slack,
      );
      const faster = { ...forecast, ratePerDay: forecast.ratePerDay * 1.1 };
      expect(late(dayReaching(faster, total, p))).toBeLessThanOrEqual(late(day) + slack);
    }),
    { numRuns: 1_000 },
  );
});

test('the total on the day of reaching it is that total, with the opposite probability', () => {
  fc.assert(
    fc.property(
      forecasts,
      fc.double({ min: 1, max: 100_000, noNaN: true }),
      probabilities,
      (forecast, d, p) => {
        const total = forecast.originTotal + d;
        const day = dayReaching(forecast, total, p);
        // at the origin itself the distribution starts with a step
        fc.pre(day !== null && day > forecast.originDay + 1e-3);
        expect(totalAt(forecast, day, 1 - p)).toBeCloseTo(total, 3);
        expect(probabilityReached(forecast, total, day)).toBeCloseTo(p, 6);
      },
    ),
    { numRuns: 1_000 },
  );
});

test('the interval grows with the look ahead', () => {
  const forecast = forecastUsage(
    estimateUsage(
      {
        track: [
          { day: 0, total: 0 },
          { day: 200, total: 9_000 },
        ],
      },
      defaultUsageModel('km'),
    ),
    defaultUsageModel('km'),
  )!;
  const widths = [1, 10, 30, 90, 180, 365, 1_000].map(
    (days) => totalAt(forecast, 200 + days, 0.9) - totalAt(forecast, 200 + days, 0.1),
  );
  expect(widths).toEqual([...widths].sort((a, b) => a - b));
  expect(relativeSd(forecast.spread, 730)).toBeGreaterThan(relativeSd(forecast.spread, 365));
});

test('what has no answer', () => {
  const still: UsageForecast = {
    unit: 'h',
    originDay: 100,
    originTotal: 500,
    ratePerDay: 0,
    spread: [{ afterDays: 0, varianceDays: 1 }],
    horizonDays: 3_650,
  };
  expect(dayReaching(still, 501, 0.5)).toBeNull();
  expect(dayReaching(still, 500, 0.5)).toBe(100);
  expect(totalAt(still, 9_999, 0.9)).toBe(500);
  expect(probabilityReached(still, 501, 9_999)).toBe(0);
  const moving = { ...still, ratePerDay: 1 };
  expect(dayReaching(moving, 500 + 3_650, 0.5)).toBe(3_750);
  expect(dayReaching(moving, 500 + 3_651, 0.5)).toBeNull();
  expect(probabilityReached(moving, 400, 50)).toBe(1);
  expect(() => dayReaching(moving, 600, 1)).toThrow('probability');
  expect(normalQuantile(0.5)).toBe(0);
});

test('rounding up forgives rounding error only', () => {
  expect([100, 100 + 1e-7, 100 - 1e-7, 100.001, 100.9].map(wholeDayReached)).toEqual([
    100, 100, 100, 101, 101,
  ]);
});
