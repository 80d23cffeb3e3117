import { contradictionsIn } from '../../../src/core/hydraulics/layout-conclusions';
import { UNVERIFIED_LAYOUT } from '../../../src/core/hydraulics/hydraulic-layout';
import { addDays } from '../../../src/core/shared/calendar-date';
import { at20Degrees } from '../../../src/desk/pages/units/at-20-degrees';
import { howSure } from '../../../src/desk/pages/units/outlook-words';
import { forecastBand } from '../../../src/desk/pages/vehicles/distance/distance-points';
import { unitCondition } from '../../../src/desk/pages/vehicles/drawing/unit-condition';
import { changesOf } from '../../../src/desk/pages/vehicles/history/changes-of';
import { contradictionsOf } from '../../../src/desk/pages/vehicles/system/facts';
import { recordOf } from '../../../src/desk/pages/vehicles/system/layout-record';
import { positionsInWords } from '../../../src/desk/format/words';

const LIMIT = {
  origin: 'common-practice',
  nominal20BarGauge: 55,
  limit20BarGauge: 44,
  ruleCode: null,
} as const;
const estimate = (median20BarGauge: number) => ({
  low20BarGauge: median20BarGauge - 1,
  median20BarGauge,
  high20BarGauge: median20BarGauge + 1,
});
const TODAY = '2026-12-01';
const forecast = (median: number | null, earliestOn: string | null) => ({
  present: median === null ? null : estimate(median),
  limit: LIMIT,
  earliestOn,
  todayOn: TODAY,
});

describe('how a gas unit is', () => {
  it.each([
    ['sound', [], forecast(50, '2028-01-01')],
    ['sound', ['not-due'], forecast(50, null)],
    ['weak', ['not-due'], forecast(45, TODAY)],
    ['due soon', ['not-due', 'due-soon'], forecast(45, TODAY)],
    ['due', ['due-soon', 'due'], forecast(50, null)],
    ['overdue', ['due', 'overdue'], forecast(50, null)],
    ['below limit', ['overdue'], forecast(43.9, TODAY)],
    ['not measured', ['not-due'], forecast(null, null)],
    ['not measured', [], null],
    ['being read', [], undefined],
    ['overdue', ['overdue'], undefined],
  ] as const)('is %s', (words, states, told) => {
    expect(unitCondition(states, told).words).toBe(words);
  });
});

describe('what somebody records of a layout', () => {
  const evidence = (how: string) => ({ seenBy: 'Martin', seenOn: TODAY, how });
  const before = {
    ...UNVERIFIED_LAYOUT,
    pumpKind: 'split',
    antiSinkValves: 'fitted',
    fluid: 'mineral',
    evidence: { pumpKind: evidence('first'), antiSinkValves: evidence('first'), fluid: evidence('first') },
  } as const;

  it('keeps the evidence of what stayed, renews it where somebody looked, and drops it with the fact', () => {
    const after = { ...before, antiSinkValves: 'unverified', steeringSupply: 'own-section' } as const;
    expect(recordOf(before, after, ['pumpKind', 'antiSinkValves'], evidence('second')).evidence).toEqual({
      pumpKind: evidence('second'),
      fluid: evidence('first'),
    });
  });

  it('gives no old evidence to a new value', () => {
    const after = { ...before, fluid: 'glycol' };
    expect(recordOf(before, after, [], evidence('second')).evidence).not.toHaveProperty('fluid');
  });

  it('is told its contradictions without the names of fields', () => {
    const refused = contradictionsIn({
      ...UNVERIFIED_LAYOUT,
      pumpKind: 'split',
      antiSinkValves: 'not-fitted',
    });
    const [told] = contradictionsOf(refused);
    expect(told?.reason).toBe(
      'Pump is recorded as “split, two outlets” and anti-sink valves as “not fitted”, but a vehicle with a split pump ' +
        'has anti-sink valves',
    );
    expect(told?.remedy).toMatch(/correct pump or anti-sink valves, or set .* to “not verified”$/);
    expect(told?.fields).toEqual(['pumpKind', 'antiSinkValves']);
  });
});

it('works a reading out at 20 °C as it is typed', () => {
  expect(at20Degrees(null, 20)).toBeNull();
  const warm = at20Degrees(55, 20);
  expect(warm !== null && 'precharge20BarGauge' in warm ? warm.precharge20BarGauge : null).toBeCloseTo(55, 6);
  expect(at20Degrees(55, 100)).toMatchObject({ remedy: expect.stringContaining('37.8 °C') as string });
});

describe('when a unit has to be recharged', () => {
  const told = (median: number | null, days: [string | null, string | null, string | null]) =>
    howSure(
      {
        ...forecast(median, days[0]),
        medianOn: days[1],
        latestOn: days[2],
        horizonOn: '2036-12-01',
      },
      'en-GB',
    );
  it('says when, and how sure it is', () => {
    expect(told(50, ['2028-03-26', '2028-07-25', '2029-01-01'])).toBe(
      'Recharge about Tue, 25 Jul 2028: it is below its limit from Sun, 26 Mar 2028 with 1 in 10, by Mon, 1 Jan 2029 with 9 in 10.',
    );
    expect(told(43, [TODAY, TODAY, '2027-01-01'])).toMatch(/probably below its limit now/);
    expect(told(null, [null, null, null])).toMatch(/nothing has been measured/);
    expect(told(50, [null, null, null])).toMatch(/Hardly .* before Mon, 1 Dec 2036/);
    expect(told(50, ['2030-01-01', null, null])).toMatch(/perhaps from .* more probably after/);
  });
});

it('spreads the distance to come more the further it looks', () => {
  const usage = {
    todayOn: TODAY,
    forecast: {
      originOn: '2026-11-26',
      originTotal: 100_000,
      ratePerDay: 50,
      spread: [
        { afterDays: 0, varianceDays: 0.5 },
        { afterDays: 365, varianceDays: 12 },
      ],
      horizonDays: 3_650,
    },
  };
  const band = forecastBand(usage);
  expect(band[0]).toEqual({ on: '2026-11-26', lowKm: 100_000, medianKm: 100_000, highKm: 100_000 });
  const last = band.at(-1);
  expect(last?.on).toBe(addDays(TODAY, 365));
  // 370 days at 50 km
  expect(last?.medianKm).toBeCloseTo(118_500, 6);
  const widths = band.map(({ lowKm, highKm }) => highKm - lowKm);
  expect(widths.every((width, index) => index === 0 || width > (widths[index - 1] ?? 0))).toBe(true);
  expect(forecastBand({ todayOn: TODAY, forecast: null })).toEqual([]);
});

it('tells of an audit entry what has changed', () => {
  expect(
    changesOf(
      { revision: 1, note: 'a', same: [1] },
      { revision: 2, note: null, same: [1], added: { deep: true } },
    ),
  ).toEqual([
    { field: 'note', from: 'a', to: null },
    { field: 'added', from: null, to: '{"deep":true}' },
  ]);
  expect(changesOf(null, { note: 'a' })).toEqual([{ field: 'note', from: null, to: 'a' }]);
});

it('tells positions in words', () => {
  expect(positionsInWords('Test of the unit at rear-brake-accumulator is overdue')).toBe(
    'Test of the unit at rear brake accumulator is overdue',
  );
});
