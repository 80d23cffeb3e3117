import { forecastCoverage, type ToldForecast } from '../../../src/cli/demo/forecast-coverage';
import type { GasUnitTruth } from '../../../src/cli/demo/tarn-valley/gas-unit-fleet';

const TODAY = '2026-11-25';

function truth(below80On: string | null, precharge = 50): GasUnitTruth {
  return {
    externalKey: 'GU-1',
    typeCode: 'front',
    nominal20BarGauge: 55,
    madeOn: '2020-01-01',
    state: 'fitted',
    below80On,
    knownUntilOn: '2038-11-25',
    precharge20BarGaugeOn: () => precharge,
  };
}

function forecast(earliestOn: string | null, latestOn: string | null): ToldForecast {
  const observation = (doneOn: string, used: boolean): ToldForecast['observations'][number] => ({
    eventId: doneOn,
    kind: 'precharge-test',
    doneOn,
    precharge20BarGauge: 50,
    outcome: 'passed',
    used,
    leftOutCode: null,
    leftOutReason: null,
  });
  const point = (on: string, low: number, high: number): ToldForecast['band'][number] => ({
    on,
    low20BarGauge: low,
    median20BarGauge: (low + high) / 2,
    high20BarGauge: high,
  });
  return {
    observations: [observation('2026-06-01', true), observation('2026-08-01', false)],
    earliestOn,
    latestOn,
    horizonOn: '2036-06-01',
    // 182 days after today is 2027-05-26, 365 days 2027-11-25: half way and at the end
    band: [point('2026-11-25', 50, 50), point('2027-11-25', 46, 48)],
  };
}

const crossingOf = (below80On: string | null, earliestOn: string | null, latestOn: string | null) =>
  forecastCoverage([{ forecast: forecast(earliestOn, latestOn), truth: truth(below80On) }], TODAY);

test.each([
  ['2028-01-01', '2028-01-01', '2029-01-01', { held: 1, worse: 0, better: 0 }],
  ['2029-01-01', '2028-01-01', '2029-01-01', { held: 1, worse: 0, better: 0 }],
  ['2027-12-31', '2028-01-01', '2029-01-01', { held: 0, worse: 1, better: 0 }],
  ['2029-01-02', '2028-01-01', '2029-01-01', { held: 0, worse: 0, better: 1 }],
  // no latest day: any later day is within it
  ['2037-01-01', '2028-01-01', null, { held: 1, worse: 0, better: 0 }],
  [null, '2028-01-01', null, { held: 1, worse: 0, better: 0 }],
  [null, '2028-01-01', '2029-01-01', { held: 0, worse: 0, better: 1 }],
  // below before the last reading that is used: the forecast speaks of no earlier day
  ['2025-01-01', '2026-06-01', '2027-01-01', { held: 1, worse: 0, better: 0 }],
  ['2025-01-01', '2026-06-02', '2027-01-01', { held: 0, worse: 1, better: 0 }],
])('below on %p, forecast from %p to %p', (below80On, earliestOn, latestOn, counts) => {
  const { crossing, beyondHorizon } = crossingOf(below80On, earliestOn, latestOn);
  expect(crossing).toEqual({ checked: 1, ...counts });
  expect(beyondHorizon).toEqual({ told: 0, right: 0 });
});

test.each([
  [null, 1],
  ['2036-06-02', 1],
  ['2036-06-01', 0],
])('nothing within the horizon, below on %p', (below80On, right) => {
  const { crossing, beyondHorizon } = crossingOf(below80On, null, null);
  expect(crossing.checked).toBe(0);
  expect(beyondHorizon).toEqual({ told: 1, right });
});

// by hand: the band is 50 at 0 days and 46 to 48 at 365; at 182 days 50 - 4 * 182/365 = 48.005 to 49.003
test.each([
  [48.1, { held: 1, worse: 0, better: 0 }, { held: 0, worse: 0, better: 1 }],
  [47.9, { held: 0, worse: 1, better: 0 }, { held: 1, worse: 0, better: 0 }],
  [49.1, { held: 0, worse: 0, better: 1 }, { held: 0, worse: 0, better: 1 }],
  [45.9, { held: 0, worse: 1, better: 0 }, { held: 0, worse: 1, better: 0 }],
])('a true precharge of %d bar in 182 and in 365 days', (precharge, inHalfAYear, inAYear) => {
  const told = forecast('2028-01-01', '2029-01-01');
  const result = forecastCoverage([{ forecast: told, truth: truth('2028-06-01', precharge) }], TODAY);
  expect(result.precharge).toEqual([
    { daysAhead: 182, coverage: { checked: 1, ...inHalfAYear } },
    { daysAhead: 365, coverage: { checked: 1, ...inAYear } },
  ]);
});

test('a unit without a reading, and days outside the band, are not counted', () => {
  const told = forecast('2028-01-01', '2029-01-01');
  const untested = { ...told, observations: [], earliestOn: null, latestOn: null, band: [] };
  const short = { ...told, band: told.band.slice(0, 1) };
  const result = forecastCoverage(
    [
      { forecast: untested, truth: truth('2028-06-01') },
      { forecast: short, truth: truth('2028-06-01') },
    ],
    TODAY,
  );
  expect(result.crossing.checked).toBe(1);
  expect(result.precharge.map(({ coverage }) => coverage.checked)).toEqual([0, 0]);
});
