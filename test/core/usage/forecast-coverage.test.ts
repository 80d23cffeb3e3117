import { fitUsageModel } from '../../../src/core/usage/fit-usage-model';
import { estimateUsage, forecastUsage } from '../../../src/core/usage/usage-estimate';
import { dayReaching, totalAt, type UsageForecast } from '../../../src/core/usage/usage-forecast';
import { defaultUsageModel } from '../../../src/core/usage/usage-model';
import { simulateVehicle, type SimulatedVehicle } from './simulated-vehicle';

const HORIZONS_DAYS = [30, 90, 180, 365];
const VEHICLES = 2_000;

interface Case {
  readonly vehicle: SimulatedVehicle;
  readonly forecast: UsageForecast;
}

function shareHeld(cases: readonly Case[], held: (one: Case) => boolean): number {
  return cases.filter(held).length / cases.length;
}

function totalHeld(horizonDays: number) {
  return ({ vehicle, forecast }: Case): boolean => {
    const day = forecast.originDay + horizonDays;
    const actual = vehicle.truth[day]!;
    return totalAt(forecast, day, 0.1) <= actual && actual <= totalAt(forecast, day, 0.9);
  };
}

// the first moment at which the true total is there, within the day that it falls on
function passageHeld(horizonDays: number) {
  return ({ vehicle, forecast }: Case): boolean => {
    const total = forecast.originTotal + forecast.ratePerDay * horizonDays;
    let day = forecast.originDay;
    while (day < vehicle.truth.length && vehicle.truth[day]! < total) day++;
    if (day === vehicle.truth.length) throw new Error('simulate further ahead');
    const before = vehicle.truth[day - 1]!;
    const moment = day - 1 + (total - before) / (vehicle.truth[day]! - before);
    const latest = dayReaching(forecast, total, 0.9) ?? Infinity;
    return (dayReaching(forecast, total, 0.1) ?? Infinity) <= moment && moment <= latest;
  };
}

// Truth known: drift, season, wandering rate, reading gaps and rounding; see simulated-vehicle.ts. The
// model is fitted on other vehicles of the same kind than those it is measured on.
describe('the nominal 80 % interval on simulated vehicles', () => {
  const model = fitUsageModel(
    Array.from({ length: 350 }, (_, i) => simulateVehicle(i + 1, { aheadDays: 1 }).record),
    'km',
  );
  const casesOf = (recordDays: number, usedModel = model, count = VEHICLES): Case[] =>
    Array.from({ length: count }, (_, i) => {
      const vehicle = simulateVehicle(100_000 + recordDays * 1_000_000 + i, { recordDays, aheadDays: 1_200 });
      return { vehicle, forecast: forecastUsage(estimateUsage(vehicle.record, usedModel), usedModel)! };
    });

  it('holds 80 +/- 2 % at every horizon, for the total and for the day of reaching one', () => {
    const cases = casesOf(900);
    const unfitted = defaultUsageModel('km');
    const before = cases.map(({ vehicle }) => ({
      vehicle,
      forecast: forecastUsage(estimateUsage(vehicle.record, unfitted), unfitted)!,
    }));
    const rows = HORIZONS_DAYS.map((horizonDays) => ({
      horizonDays,
      vehicles: cases.length,
      'total, default model': shareHeld(before, totalHeld(horizonDays)),
      'total, fitted': shareHeld(cases, totalHeld(horizonDays)),
      'first passage, fitted': shareHeld(cases, passageHeld(horizonDays)),
    }));
    console.table(rows);
    for (const row of rows) {
      expect(Math.abs(row['total, fitted'] - 0.8)).toBeLessThanOrEqual(0.02);
      expect(Math.abs(row['first passage, fitted'] - 0.8)).toBeLessThanOrEqual(0.02);
    }
  });

  it.each([200, 500])('holds for a record of %i days as well', (recordDays) => {
    const cases = casesOf(recordDays, model, 800);
    for (const horizonDays of HORIZONS_DAYS) {
      // three standard errors of a share of 800
      expect(Math.abs(shareHeld(cases, totalHeld(horizonDays)) - 0.8)).toBeLessThanOrEqual(0.042);
      expect(Math.abs(shareHeld(cases, passageHeld(horizonDays)) - 0.8)).toBeLessThanOrEqual(0.042);
    }
  });
});
