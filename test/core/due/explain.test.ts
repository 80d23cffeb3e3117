import { explain } from '../../../src/core/due/explain';
import { RuleOptions } from '../../../src/core/due/rule';
import { UNVERIFIED_LAYOUT } from '../../../src/core/hydraulics/hydraulic-layout';
import { completion, itemOf, steadyForecast, vehicle } from './due-case';

const FLUID_CHANGE: RuleOptions = {
  code: 'fluid-change',
  task: 'fluid-change',
  title: 'Change the fluid',
  everyMonths: 24,
  everyKm: 60_000,
  severityByDutyClass: { severe: 0.7 },
  tolerance: { earlyDays: 30, lateDays: 14, lateKm: 800 },
};
const completions = [completion('fluid-change', '2025-08-31', { totalKm: 60_000 })];

describe('explain', () => {
  test('can be redone on paper', () => {
    expect(explain(itemOf(vehicle([FLUID_CHANGE], { completions, dutyClass: 'severe' })))).toEqual([
      'Change the fluid (rule fluid-change).',
      'Counted from "fluid-change", done on 2025-08-31 at 60,000 km.',
      'Intervals × 0.7 for duty class severe.',
      'Time: 2025-08-31 + 24 months × 0.7 (16 months + 24 days) = 2027-01-24; window 2026-12-25 (30 days early) to 2027-02-07 (14 days late).',
      'Distance: 60,000 + 60,000 × 0.7 (42,000) = 102,000 km; 96,080 km on 2026-11-25, 5,920 km to go at 80 km a day: 2027-02-07; window 2027-01-08 (30 days early) to 2027-03-03 (800 km and 14 days late).',
      'Due 2027-01-24, driver time (whichever is first).',
      'Window 2026-12-25 to 2027-02-07; overdue after that.',
    ]);
  });

  test('names what is missing and what was assumed', () => {
    const partial = itemOf(
      vehicle([FLUID_CHANGE], {
        inServiceOn: '2026-01-01',
        inServiceTotalKm: null,
        dutyClass: null,
        distanceForecast: null,
        odometerTrack: [],
      }),
    );
    expect(explain(partial)).toEqual([
      'Change the fluid (rule fluid-change).',
      'Never done: counted from the in-service date 2026-01-01 at 0 km (assumed).',
      'Time: 2026-01-01 + 24 months = 2028-01-01; window 2027-12-02 (30 days early) to 2028-01-15 (14 days late).',
      'Distance: due at 60,000 km, on an unknown day (odometer-readings).',
      'Due 2028-01-01, driver time (whichever is first).',
      'Window 2027-12-02 to 2028-01-15; overdue after that.',
      'Missing: Record odometer readings, or the distance expected in a year.',
      'Note: the duty class is not recorded; severity is taken as 1.',
      'Note: the odometer at the in-service date is not recorded and taken as 0 km.',
    ]);
  });

  test('shows a series with what settled it', () => {
    const rule: RuleOptions = {
      code: 'yearly',
      task: 'yearly',
      everyMonths: 12,
      cadence: 'fixed',
      severityByDutyClass: { severe: 0.5 },
    };
    const done = [completion('yearly', '2025-01-31'), completion('yearly', '2025-07-30')];
    expect(
      explain(itemOf(vehicle([rule], { inServiceOn: '2024-01-31', completions: done, dutyClass: 'severe' }))),
    ).toEqual([
      'yearly (rule yearly).',
      'The series starts at the in-service date 2024-01-31.',
      'Intervals × 0.5 for duty class severe.',
      'Fixed cadence: the first after 12 months × 0.5 (6 months), then every 12 months × 0.5 (6 months).',
      '1 wholly before the first known completion, or before the age asked for: not owed.',
      'Occurrence 2, due 2025-01-31, was settled on 2025-01-31.',
      'Occurrence 3, due 2025-07-31, was settled on 2025-07-30.',
      'Open is occurrence 4: 6 months + 3 × (6 months) from the start of the series.',
      'Time: 2024-01-31 + 24 months = 2026-01-31.',
      'Due 2026-01-31, driver time.',
      'Window 2026-01-31 to 2026-01-31; overdue after that.',
    ]);
  });

  test('says so where nothing can be told, and where nothing comes within the horizon', () => {
    const antiSink: RuleOptions = {
      code: 'hold',
      task: 'hold',
      everyMonths: 12,
      appliesTo: { antiSinkValves: ['fitted'] },
    };
    expect(explain(itemOf(vehicle([antiSink], { layout: UNVERIFIED_LAYOUT }))).slice(1)).toEqual([
      'Never done: counted from the in-service date 2023-01-10.',
      'Cannot be told.',
      'Missing: Look at the vehicle and record whether anti-sink valves are fitted.',
    ]);
    const standing = vehicle([{ code: 'km', task: 'km', everyKm: 100_000 }], {
      distanceForecast: steadyForecast('2026-11-25', 96_080, 0),
    });
    expect(explain(itemOf(standing)).slice(2)).toEqual([
      'Distance: 0 + 100,000 = 100,000 km; 96,080 km on 2026-11-25, 3,920 km to go at 0 km a day: not within 3,650 days.',
      'Not due as far as the forecasts look.',
    ]);
  });

  test('tells a window that opens within the horizon of a limit that comes after it', () => {
    const rule: RuleOptions = { code: 'km', task: 'km', everyKm: 300_000, tolerance: { earlyKm: 1_000 } };
    const forecast = steadyForecast('2026-11-25', 96_080, 55.8);
    expect(explain(itemOf(vehicle([rule], { distanceForecast: forecast }))).slice(2)).toEqual([
      'Distance: 0 + 300,000 = 300,000 km; 96,080 km on 2026-11-25, 203,920 km to go at 55.8 km a day: not within 3,650 days; window from 2036-11-09 (1,000 km and 0 days early).',
      'Not due as far as the forecasts look.',
    ]);
  });
});
