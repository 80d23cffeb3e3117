import { backTest, calibrateUsageModel } from '../../../src/core/usage/back-test';
import { fitUsageModel } from '../../../src/core/usage/fit-usage-model';
import { rollingOrigin, standardError } from '../../../src/core/usage/rolling-origin';
import type { UsageRecord } from '../../../src/core/usage/usage-estimate';
import { defaultUsageModel, wideningAt } from '../../../src/core/usage/usage-model';
import { simulateVehicle } from './simulated-vehicle';

const fleet = (count: number, seed = 1): UsageRecord[] =>
  Array.from({ length: count }, (_, i) => simulateVehicle(seed + i, { aheadDays: 1 }).record);

test('a fleet of 60 is fitted on one half and measured on the other', () => {
  const calibrated = calibrateUsageModel(fleet(60, 5_000), 'km');
  console.table(
    calibrated.after.map(({ horizonDays, trials, held }, i) => ({
      horizonDays,
      trials,
      before: calibrated.before[i]!.held,
      fitted: calibrated.fitted[i]!.held,
      after: held,
    })),
  );
  expect(calibrated.measuredOn).toBe('other-vehicles');
  expect(calibrated.model.vehicles).toBe(60);
  for (const row of calibrated.after) {
    expect(row.trials).toBeGreaterThan(100);
    // thirty vehicles fit, thirty others measure: each half can be a few points out
    expect(Math.abs(row.held! - 0.8)).toBeLessThan(0.12);
    expect(row.held! + row.below! + row.above!).toBeCloseTo(1, 12);
  }
});

test('the pooled model recovers what the vehicles were made from', () => {
  const model = fitUsageModel(fleet(150, 9_000), 'km');
  // made with: rate log-normal, 60 km a day, log sd 0.6; days with a relative variance of about 0.7 (0.36 of
  // their own, widened by its spread and the two lighter days of a week), more over a month for the season
  expect(Math.abs(Math.log(model.medianRatePerDay / 60))).toBeLessThan((4 * (1.25 * 0.6)) / Math.sqrt(150));
  expect(model.rateLogSd).toBeGreaterThan(0.45);
  expect(model.rateLogSd).toBeLessThan(0.8);
  expect(model.incrementVariance).toBeGreaterThan(0.4);
  expect(model.incrementVariance).toBeLessThan(1.6);
});

test('under five vehicles the defaults stand', () => {
  expect(fitUsageModel(fleet(4), 'km')).toEqual(defaultUsageModel('km'));
  expect(calibrateUsageModel([], 'h')).toMatchObject({
    model: defaultUsageModel('h'),
    measuredOn: 'nothing',
  });
  expect(calibrateUsageModel(fleet(8), 'km').measuredOn).toBe('the-same-vehicles');
});

test('vehicles that never vary still get an interval, and it holds', () => {
  const steady = Array.from({ length: 12 }, (_, v) => ({
    track: Array.from({ length: 40 }, (_, i) => ({ day: i * 25, total: i * 25 * (20 + v) })),
  }));
  const model = fitUsageModel(steady, 'km');
  expect(model.incrementVariance).toBe(0.05);
  for (const row of backTest(steady, model)) expect(row.held).toBe(1);
});

test('a trial never looks ahead, and never spans a duty change', () => {
  const [record] = fleet(1, 77) as [UsageRecord];
  const changeDay = 450;
  const model = defaultUsageModel('km');
  const trials = rollingOrigin([{ ...record, dutyChangeDays: [changeDay] }], model, [30, 180]);
  expect(trials.length).toBeGreaterThan(10);
  for (const trial of trials) {
    const { originDay } = trial.forecast;
    expect(originDay < changeDay).toBe(originDay + trial.elapsedDays < changeDay);
    expect(trial.estimate.used.every((point) => point.day <= originDay)).toBe(true);
    expect(trial.estimate.used.every((point) => point.day >= changeDay)).toBe(originDay >= changeDay);
    expect(Math.abs(trial.elapsedDays - trial.horizonDays)).toBeLessThanOrEqual(0.25 * trial.horizonDays);
    expect(Number.isFinite(standardError(trial))).toBe(true);
  }
});

test('the widening is straight between its horizons and constant outside', () => {
  const widening = [
    { afterDays: 30, shortRecord: 1, longRecord: 2 },
    { afterDays: 90, shortRecord: 3, longRecord: 4 },
  ];
  expect([0, 30, 60, 90, 500].map((days) => wideningAt(widening, days, 100))).toEqual([1, 1, 2, 3, 3]);
  expect([0, 60, 500].map((days) => wideningAt(widening, days, 300))).toEqual([2, 3, 4]);
  expect(wideningAt([], 60, 300)).toBe(1);
});
