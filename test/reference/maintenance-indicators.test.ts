import { InputError } from '../../src/core/shared/input-error';
import {
  addDowntimeSums,
  downtimeIndicators,
  sumDowntime,
  workIndicators,
  type Downtime,
} from '../../src/core/working-time/maintenance-indicators';

// Source of the formulas: EN 15341:2007, T1, T2, T6, T7, T17, T21, E15, E16, O16, O18, O22, from memory. The
// figures are an example that was worked out by hand: 720 hours required, four failures, 12 + 6 + 10 + 8 hours.

const HOUR = 3_600_000;
const down = (cause: Downtime['cause'], fromHour: number, hours: number): Downtime => ({
  cause,
  startsAt: fromHour * HOUR,
  endsAt: (fromHour + hours) * HOUR,
});
const FAILURES = [
  down('failure', 50, 12),
  down('failure', 200, 6),
  down('failure', 340, 10),
  down('failure', 600, 8),
];
const MONTH = { startsAt: 0, endsAt: 720 * HOUR };
const REQUIRED = [0, 720 * HOUR];
const hours = (minutes: number | null) => (minutes === null ? null : minutes / 60);

describe('four failures in 720 hours', () => {
  const indicators = downtimeIndicators(sumDowntime(REQUIRED, MONTH, FAILURES));
  test('operating time and mean times', () => {
    expect(hours(indicators.operatingMinutes)).toBe(684);
    expect(hours(indicators.meanOperatingMinutesBetweenFailures)).toBe(171);
    expect(hours(indicators.meanMinutesToRestoration)).toBe(9);
  });
  test('availability is 95 per cent, and follows from the mean times', () => {
    const between = indicators.meanOperatingMinutesBetweenFailures!;
    expect(indicators.availabilityInRequiredTimePercent).toBeCloseTo(95, 12);
    expect(indicators.availabilityAgainstFailuresPercent).toBeCloseTo(95, 12);
    expect(between / (between + indicators.meanMinutesToRestoration!)).toBeCloseTo(0.95, 12);
  });
  test('nothing was planned', () => {
    expect(indicators.availabilityAgainstPlannedMaintenancePercent).toBe(100);
  });
});

describe('with 20 hours of planned downtime besides', () => {
  const planned = [down('planned', 100, 15), down('planned', 500, 5)];
  const indicators = downtimeIndicators(sumDowntime(REQUIRED, MONTH, [...planned, ...FAILURES]));
  test('operating time and mean time between failures', () => {
    expect(hours(indicators.operatingMinutes)).toBe(664);
    expect(hours(indicators.meanOperatingMinutesBetweenFailures)).toBe(166);
  });
  test.each([
    ['availabilityAgainstMaintenancePercent', 92.2222],
    ['availabilityAgainstFailuresPercent', 94.857143],
    ['availabilityAgainstPlannedMaintenancePercent', 97.076023],
  ] as const)('%s is %d', (name, expected) => {
    expect(indicators[name]).toBeCloseTo(expected, 4);
  });
});

describe('what counts', () => {
  test('no failures: no mean time, neither zero nor endless', () => {
    const indicators = downtimeIndicators(sumDowntime(REQUIRED, MONTH, [down('planned', 10, 20)]));
    expect(indicators.meanOperatingMinutesBetweenFailures).toBeNull();
    expect(indicators.meanMinutesToRestoration).toBeNull();
    expect(indicators.availabilityAgainstFailuresPercent).toBe(100);
  });
  test('nothing required: no availability', () => {
    const indicators = downtimeIndicators(sumDowntime([], MONTH, FAILURES));
    expect(indicators.availabilityInRequiredTimePercent).toBeNull();
    expect(indicators.availabilityAgainstMaintenancePercent).toBeNull();
  });
  test('downtime outside of the required time does not', () => {
    const workdays = [0, 55 * HOUR, 100 * HOUR, 720 * HOUR];
    expect(sumDowntime(workdays, MONTH, [down('failure', 50, 12)])).toEqual({
      requiredMinutes: 675 * 60,
      failures: 1,
      failureDowntimeMinutes: 5 * 60,
      plannedDowntimeMinutes: 0,
    });
  });
  test('time that is down for two reasons does once, as a failure', () => {
    const sums = sumDowntime(REQUIRED, MONTH, [down('planned', 10, 20), down('failure', 25, 10)]);
    expect(sums).toMatchObject({ failureDowntimeMinutes: 10 * 60, plannedDowntimeMinutes: 15 * 60 });
  });
  test('a failure does in the period in which it starts, its downtime where it falls', () => {
    const failure = [down('failure', 715, 10)];
    const next = { startsAt: 720 * HOUR, endsAt: 1440 * HOUR };
    const always = [0, 1440 * HOUR];
    const [first, second] = [sumDowntime(always, MONTH, failure), sumDowntime(always, next, failure)];
    expect(first).toMatchObject({ failures: 1, failureDowntimeMinutes: 300 });
    expect(second).toMatchObject({ failures: 0, failureDowntimeMinutes: 300 });
    const whole = sumDowntime(always, { startsAt: 0, endsAt: 1440 * HOUR }, failure);
    expect(addDowntimeSums([first, second])).toEqual(whole);
  });
  test('sums that cannot be are refused', () => {
    const sums = { requiredMinutes: 60, failures: 1, failureDowntimeMinutes: 50, plannedDowntimeMinutes: 20 };
    expect(() => downtimeIndicators(sums)).toThrow(InputError);
    expect(() => downtimeIndicators({ ...sums, plannedDowntimeMinutes: -1 })).toThrow('negative');
  });
});

test('shares of cost, labour and kept schedule', () => {
  expect(
    workIndicators({
      correctiveCost: 30_000,
      preventiveCost: 90_000,
      correctiveLabourMinutes: 600,
      preventiveLabourMinutes: 900,
      ordersScheduled: 40,
      ordersDoneAsScheduled: 37,
    }),
  ).toEqual({
    correctiveCostPercent: 25,
    preventiveCostPercent: 75,
    correctiveLabourPercent: 40,
    preventiveLabourPercent: 60,
    scheduleKeptPercent: 92.5,
  });
});

test('nothing done has no shares', () => {
  const nothing = workIndicators({
    correctiveCost: 0,
    preventiveCost: 0,
    correctiveLabourMinutes: 0,
    preventiveLabourMinutes: 0,
    ordersScheduled: 0,
    ordersDoneAsScheduled: 0,
  });
  expect(Object.values(nothing)).toEqual([null, null, null, null, null]);
});
