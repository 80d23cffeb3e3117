import { DueInput, FittedUnit } from '../../../src/core/due/due-input';
import { DueItem } from '../../../src/core/due/due-item';
import { dueItemsOf } from '../../../src/core/due/due-items';
import { RuleOptions } from '../../../src/core/due/rule';
import { UNVERIFIED_LAYOUT } from '../../../src/core/hydraulics/hydraulic-layout';
import { toEpochDay } from '../../../src/core/shared/calendar-date';
import { completion, itemOf, SPLIT_LAYOUT, steadyForecast, track, vehicle } from './due-case';

interface Case {
  name: string;
  rule: RuleOptions;
  input?: Partial<DueInput>;
  key?: string;
  expected: Partial<DueItem>;
}

const job = (more: Partial<RuleOptions>): RuleOptions => ({ code: 'job', task: 'job', ...more });
const at60000 = [completion('job', '2025-08-31', { totalKm: 60_000 })];

describe('vehicle rules', () => {
  const cases: Case[] = [
    {
      name: 'days count from the completion',
      rule: job({ everyDays: 100 }),
      input: { completions: at60000 },
      expected: { dueOn: '2025-12-09', driver: 'time' },
    },
    {
      name: 'months first, clamped, then days',
      rule: job({ everyMonths: 6, everyDays: 1 }),
      input: { completions: [completion('job', '2025-08-31')] },
      expected: { dueOn: '2026-03-01', driver: 'time' },
    },
    {
      name: 'a distance already reached is interpolated between the readings',
      rule: job({ everyKm: 20_000 }),
      input: { completions: at60000 },
      // 36,080 km in 451 days are 80 km a day: 250 days
      expected: { dueOn: '2026-05-08', driver: 'distance', dueOdometerKm: 80_000, latestOn: '2026-05-08' },
    },
    {
      name: 'a day begun counts: 23,921 km to go take 300 days',
      rule: job({ everyKm: 60_001 }),
      input: { completions: at60000 },
      expected: { dueOn: '2027-09-21', driver: 'distance' },
    },
    {
      name: 'engine hours',
      rule: job({ everyEngineHours: 500 }),
      input: {
        completions: [completion('job', '2026-01-01', { totalHours: 1_000 })],
        hoursTrack: track(['2026-01-01', 1_000], ['2026-11-25', 1_400]),
        hoursForecast: { ...steadyForecast('2026-11-25', 1_400, 2), unit: 'h' },
      },
      expected: { dueOn: '2027-01-14', driver: 'hours', dueEngineHours: 1_500, dueOdometerKm: null },
    },
    {
      name: 'tolerance in km moves the distance, tolerance in days then shifts the date',
      rule: job({ everyKm: 60_000, tolerance: { earlyKm: 1_600, earlyDays: 5, lateKm: 800, lateDays: 2 } }),
      input: { completions: at60000 },
      // 20 days and 10 days of 80 km around 2027-09-20
      expected: { earlyOn: '2027-08-26', dueOn: '2027-09-20', lateOn: '2027-10-02' },
    },
    {
      name: 'last: the window ends with the latest late end, tolerance in km included',
      rule: job({
        everyMonths: 24,
        everyKm: 60_000,
        whichever: 'last',
        tolerance: { lateKm: 800, earlyDays: 10 },
      }),
      input: { completions: at60000 },
      expected: { dueOn: '2027-09-20', lateOn: '2027-09-30', earlyOn: '2027-09-10', driver: 'distance' },
    },
    {
      name: 'last is undetermined if any limit is',
      rule: job({ everyMonths: 24, everyKm: 60_000, whichever: 'last' }),
      input: { completions: at60000, distanceForecast: null },
      expected: { dueOn: null, partial: false, dueOdometerKm: 120_000 },
    },
    {
      name: 'first with an undetermined distance is partial',
      rule: job({ everyMonths: 24, everyKm: 60_000 }),
      input: { completions: at60000, distanceForecast: null },
      expected: { dueOn: '2027-08-31', driver: 'time', partial: true },
    },
    {
      name: 'tie: time drives before distance',
      rule: job({ everyMonths: 24, everyKm: 58_400 }),
      input: { completions: at60000 },
      // 58,400 km are 730 days of 80 km
      expected: { dueOn: '2027-08-31', driver: 'time' },
    },
    {
      name: 'a completion without odometer is interpolated between the readings around it',
      rule: job({ everyKm: 30_000 }),
      input: { completions: [completion('job', '2025-10-20')] },
      expected: { dueOdometerKm: 94_000, dueOn: '2026-10-30', marks: ['odometer-interpolated'] },
    },
    {
      name: 'a reading of the same day is no interpolation',
      rule: job({ everyKm: 60_000 }),
      input: { completions: [completion('job', '2025-08-31')] },
      expected: { dueOdometerKm: 120_000, marks: [] },
    },
    {
      name: 'up to 30 days before the first reading the odometer is carried back',
      rule: job({ everyKm: 60_000 }),
      input: { completions: [completion('job', '2025-08-01')] },
      expected: { dueOdometerKm: 117_600, marks: ['odometer-carried-back'] },
    },
    {
      name: 'more than 30 days before it is unknown',
      rule: job({ everyMonths: 24, everyKm: 60_000 }),
      input: { completions: [completion('job', '2025-07-31')] },
      expected: { dueOn: '2027-07-31', partial: true, dueOdometerKm: null },
    },
    {
      name: 'a completion after the last reading waits for the next one',
      rule: job({ everyMonths: 12, everyKm: 60_000 }),
      input: { completions: [completion('job', '2026-11-26')] },
      expected: { dueOn: '2027-11-26', partial: true, dueOdometerKm: null },
    },
    {
      name: 'never done: from the in-service date, odometer taken as 0',
      rule: job({ everyKm: 100_000 }),
      input: { inServiceTotalKm: null },
      expected: { dueOdometerKm: 100_000, dueOn: '2027-01-13', marks: ['odometer-assumed-0'] },
    },
    {
      name: 'a limit passed before the first reading is interpolated from the in-service date',
      rule: job({ everyKm: 30_000 }),
      input: { inServiceOn: '2023-08-31' },
      // half of 60,000 km, half of 731 days: day 365.5
      expected: { dueOdometerKm: 30_000, dueOn: '2024-08-31' },
    },
    {
      name: 'no in-service date and never done: undetermined',
      rule: job({ everyMonths: 12, everyKm: 10_000 }),
      input: { inServiceOn: null },
      expected: {
        dueOn: null,
        missing: [{ code: 'in-service-date', sentence: 'Record when the vehicle went into service.' }],
      },
    },
    {
      name: 'the first interval takes the place of the limits that it names only',
      rule: job({ everyMonths: 24, everyKm: 60_000, first: { km: 1_500 } }),
      input: { inServiceOn: '2025-08-31', inServiceTotalKm: 60_000 },
      expected: { dueOdometerKm: 61_500, dueOn: '2025-09-19', driver: 'distance' },
    },
    {
      name: 'limits that the first interval does not name stay',
      rule: job({ everyMonths: 12, everyKm: 30_000, first: { months: 36 } }),
      input: { inServiceOn: '2023-08-31' },
      expected: { dueOdometerKm: 30_000, dueOn: '2024-08-31', driver: 'distance' },
    },
    {
      name: 'first interval in days leaves no months',
      rule: job({ everyMonths: 24, first: { days: 10 } }),
      input: { inServiceOn: '2026-01-01' },
      expected: { dueOn: '2026-01-11' },
    },
    {
      name: 'severity bears on the first interval too: 12 months × 0.7 = 8 months and 12 days',
      rule: job({ everyMonths: 24, first: { months: 12 }, severityByDutyClass: { severe: 0.7 } }),
      input: { inServiceOn: '2026-01-01', dutyClass: 'severe' },
      expected: { dueOn: '2026-09-13' },
    },
    {
      name: 'a duty class that is not recorded counts with 1, and is marked',
      rule: job({ everyMonths: 24, severityByDutyClass: { severe: 0.7 } }),
      input: { inServiceOn: '2026-01-01', dutyClass: null },
      expected: { dueOn: '2028-01-01', marks: ['duty-class-not-recorded'] },
    },
    {
      name: 'a standing vehicle is not due by distance as far as the forecast looks',
      rule: job({ everyKm: 60_000 }),
      input: { completions: at60000, distanceForecast: steadyForecast('2026-11-25', 96_080, 0) },
      expected: { dueOn: null, beyondHorizon: true, dueOdometerKm: 120_000, missing: [] },
    },
    {
      name: 'a baseline that does not fit the readings is used, not before its own day, and marked',
      rule: job({ everyKm: 1_000 }),
      input: { completions: [completion('job', '2026-11-01', { totalKm: 9_000 })] },
      expected: {
        dueOn: '2026-11-01',
        dueOdometerKm: 10_000,
        marks: expect.arrayContaining(['odometer-contradicts-readings']) as never,
      },
    },
    {
      name: 'of two completions on one day the one with the higher odometer is the later',
      rule: job({ everyKm: 60_000 }),
      input: {
        completions: [
          completion('job', '2025-08-31', { totalKm: 60_500 }),
          completion('job', '2025-08-31', { totalKm: 60_000 }),
          completion('job', '2025-08-31'),
        ],
      },
      expected: { dueOdometerKm: 120_500 },
    },
    {
      name: 'a failed test does not count as done',
      rule: job({ everyMonths: 12 }),
      input: {
        completions: [
          completion('job', '2025-01-01'),
          completion('job', '2026-01-01', { outcome: 'failed' }),
        ],
      },
      expected: { dueOn: '2026-01-01' },
    },
  ];

  test.each(cases)('$name', ({ rule, input, key, expected }) => {
    expect(itemOf(vehicle([rule], input), key)).toMatchObject(expected);
  });

  test('the 10 % and 90 % dates come with the projection, and with the vehicle they widen the item', () => {
    const distanceForecast = {
      ...steadyForecast('2026-11-25', 96_080, 80),
      spread: [
        { afterDays: 0, varianceDays: 2 },
        { afterDays: 3650, varianceDays: 60 },
      ],
    };
    const item = itemOf(vehicle([job({ everyKm: 60_000 })], { completions: at60000, distanceForecast }));
    expect(item.dueOn).toBe('2027-09-20');
    expect(item.earliestOn! < '2027-09-10' && item.latestOn! > '2027-09-30').toBe(true);
    const bounded = itemOf(
      vehicle([job({ everyKm: 60_000, everyMonths: 25 })], { completions: at60000, distanceForecast }),
    );
    expect(bounded).toMatchObject({
      dueOn: '2027-09-20',
      earliestOn: item.earliestOn,
      latestOn: '2027-09-30',
    });
  });
});

describe('satisfied by other tasks', () => {
  const rules: RuleOptions[] = [
    { code: 'a', task: 'a', everyMonths: 12, satisfies: ['b'] },
    { code: 'b', task: 'b', everyMonths: 12, satisfies: ['c'] },
    { code: 'c', task: 'c', everyMonths: 12 },
  ];

  test('a completion counts for what it satisfies, not transitively', () => {
    const input = vehicle(rules, { inServiceOn: '2020-01-01', completions: [completion('a', '2025-05-05')] });
    expect(dueItemsOf(input).map((item) => item.dueOn)).toEqual(['2026-05-05', '2026-05-05', '2021-01-01']);
  });

  test('work at one position satisfies no vehicle rule, but the rule’s own task counts', () => {
    const input = vehicle(rules, {
      inServiceOn: '2020-01-01',
      completions: [completion('a', '2025-05-05', { position: 'main-accumulator' })],
    });
    expect(dueItemsOf(input).map((item) => item.dueOn)).toEqual(['2026-05-05', '2021-01-01', '2021-01-01']);
  });

  test('work on the whole vehicle satisfies a unit rule at every position, work at one position there only', () => {
    const withUnits: RuleOptions[] = [
      { code: 'overhaul', task: 'overhaul', everyMonths: 60, satisfies: ['test'] },
      {
        code: 'test',
        task: 'test',
        scope: 'unit',
        everyMonths: 12,
        positions: ['main-accumulator', 'rear-brake-accumulator'],
      },
    ];
    const input = vehicle(withUnits, {
      completions: [
        completion('overhaul', '2025-01-01'),
        completion('test', '2026-01-01', { position: 'main-accumulator' }),
      ],
    });
    expect(itemOf(input, 'test@main-accumulator')).toMatchObject({
      dueOn: '2027-01-01',
      marks: ['unit-not-recorded'],
    });
    expect(itemOf(input, 'test@rear-brake-accumulator')).toMatchObject({
      dueOn: '2026-01-01',
      marks: ['position-not-recorded', 'unit-not-recorded'],
    });
  });
});

describe('who a rule applies to', () => {
  const antiSink = job({ everyMonths: 12, appliesTo: { antiSinkValves: ['fitted'] } });

  test('a fact that does not fit: nothing is owed', () => {
    const layout = { ...UNVERIFIED_LAYOUT, antiSinkValves: 'not-fitted' as const };
    expect(dueItemsOf(vehicle([antiSink], { layout }))).toEqual([]);
  });

  test('a fact that nobody looked at: undetermined, the fact named, no date', () => {
    const item = itemOf(vehicle([antiSink], { layout: UNVERIFIED_LAYOUT }));
    expect(item).toMatchObject({ dueOn: null, driver: null, partial: false });
    expect(item.missing).toEqual([
      {
        code: 'layout.antiSinkValves',
        sentence: 'Look at the vehicle and record whether anti-sink valves are fitted.',
      },
    ]);
  });

  test('one condition that fails outweighs others that are unknown', () => {
    const rule = job({ everyMonths: 12, appliesTo: { pumpKind: ['split'], fluids: ['glycol'] } });
    expect(dueItemsOf(vehicle([rule], { layout: { ...UNVERIFIED_LAYOUT, fluid: 'mineral' } }))).toEqual([]);
  });

  test('fluid and duty class', () => {
    const rule = job({ everyMonths: 12, appliesTo: { fluids: ['mineral'], dutyClasses: ['severe'] } });
    expect(dueItemsOf(vehicle([rule], { dutyClass: 'normal' }))).toEqual([]);
    expect(itemOf(vehicle([rule], { dutyClass: 'severe' })).dueOn).toBe('2024-01-10');
    const nothing = itemOf(vehicle([rule], { dutyClass: null, layout: { ...SPLIT_LAYOUT, fluid: null } }));
    expect(nothing.missing.map((each) => each.code)).toEqual(['layout.fluid', 'duty-class']);
  });

  test('a position that hangs on an unknown fact', () => {
    const rule = job({ everyMonths: 12, scope: 'unit', positions: ['rear-brake-accumulator'] });
    const item = itemOf(vehicle([rule], { layout: UNVERIFIED_LAYOUT }));
    expect(item.missing.map((each) => each.code)).toEqual(['position.rear-brake-accumulator']);
    const without = { ...SPLIT_LAYOUT, rearBrakeAccumulator: 'not-fitted' as const };
    expect(dueItemsOf(vehicle([rule], { layout: without }))).toEqual([]);
  });

  test('age of the vehicle at the due date: until ten years every two years, then every year', () => {
    const rules: RuleOptions[] = [
      { code: 'young', task: 'inspection', everyMonths: 24, appliesTo: { vehicleAgeMonths: { until: 120 } } },
      {
        code: 'old',
        task: 'inspection',
        everyMonths: 12,
        appliesTo: { vehicleAgeMonths: { from: 120 } },
        tolerance: { earlyDays: 30, lateDays: 10 },
      },
    ];
    const doneAt = (doneOn: string): unknown[] =>
      dueItemsOf(
        vehicle(rules, { inServiceOn: '2010-01-01', completions: [completion('inspection', doneOn)] }),
      ).map(({ ruleCode, earlyOn, dueOn, lateOn }) => [ruleCode, earlyOn, dueOn, lateOn]);
    expect(doneAt('2017-06-01')).toEqual([
      ['old', '2020-01-01', '2020-01-01', '2020-01-11'],
      ['young', '2019-06-01', '2019-06-01', '2019-06-01'],
    ]);
    expect(doneAt('2018-06-01')).toEqual([['old', '2020-01-01', '2020-01-01', '2020-01-11']]);
    expect(doneAt('2019-06-01')).toEqual([['old', '2020-05-02', '2020-06-01', '2020-06-11']]);
    const unknownAge = dueItemsOf(vehicle(rules, { inServiceOn: null }));
    expect(unknownAge.map((item) => item.missing.map((each) => each.code))).toEqual([
      ['in-service-date'],
      ['in-service-date'],
    ]);
  });
});

describe('campaigns', () => {
  const campaign = (terms: RuleOptions['campaign'], more: Partial<RuleOptions> = {}): RuleOptions =>
    job({ kind: 'campaign', campaign: terms, ...more });

  test('by a date, by an odometer value, whichever is first or last', () => {
    const terms = { byOn: '2027-01-31', byOdometerKm: 100_000 };
    // 3,920 km to go are 49 days
    expect(itemOf(vehicle([campaign(terms)]))).toMatchObject({ dueOn: '2027-01-13', driver: 'distance' });
    expect(itemOf(vehicle([campaign(terms, { whichever: 'last' })]))).toMatchObject({
      dueOn: '2027-01-31',
      driver: 'time',
    });
    expect(itemOf(vehicle([campaign({ byOn: '2027-01-31' })], { inServiceOn: null })).dueOn).toBe(
      '2027-01-31',
    );
  });

  test('once done it is owed no more; work before the day of issue does not count', () => {
    const completions = [completion('job', '2026-03-01')];
    expect(dueItemsOf(vehicle([campaign({ byOn: '2027-01-31' })], { completions }))).toEqual([]);
    const issued = campaign({ byOn: '2027-01-31', issuedOn: '2026-03-02' });
    expect(itemOf(vehicle([issued], { completions })).dueOn).toBe('2027-01-31');
    expect(
      dueItemsOf(
        vehicle([{ ...issued, campaign: { byOn: '2027-01-31', issuedOn: '2026-03-01' } }], { completions }),
      ),
    ).toEqual([]);
  });

  test('severity has no hold on it', () => {
    const input = vehicle([campaign({ byOdometerKm: 100_000 })], { dutyClass: 'severe' });
    input.programme = { ...input.programme, severityByDutyClass: { severe: 0.5 } };
    expect(itemOf(input).dueOdometerKm).toBe(100_000);
  });

  test('passed before the first reading: dated from the in-service date, or marked', () => {
    const rule = campaign({ byOdometerKm: 30_000 });
    expect(itemOf(vehicle([rule], { inServiceOn: '2023-08-31' })).dueOn).toBe('2024-08-31');
    expect(itemOf(vehicle([rule], { inServiceOn: null }))).toMatchObject({
      dueOn: '2025-08-31',
      marks: ['reached-before-first-reading'],
    });
  });

  test('of scope unit: one item for each position, gone where it was done', () => {
    const rule = campaign(
      { byOn: '2027-01-31' },
      { scope: 'unit', positions: ['main-accumulator', 'rear-brake-accumulator'] },
    );
    const completions = [completion('job', '2026-03-01', { position: 'main-accumulator' })];
    expect(itemOf(vehicle([rule], { completions })).key).toBe('job@rear-brake-accumulator');
  });
});

describe('follow-ups', () => {
  const rule = job({ kind: 'follow-up', followUp: { afterTask: 'repair', km: 800, days: 30 } });

  test('without a trigger nothing is owed', () => {
    expect(dueItemsOf(vehicle([rule]))).toEqual([]);
  });

  test('counted from the latest trigger', () => {
    const completions = [
      completion('repair', '2026-01-01', { totalKm: 69_840 }),
      completion('repair', '2026-02-01', { totalKm: 72_320 }),
    ];
    expect(itemOf(vehicle([rule], { completions }))).toMatchObject({
      dueOn: '2026-02-11',
      driver: 'distance',
      dueOdometerKm: 73_120,
    });
  });

  test('done since: owed no more; on the same day the order of recording decides', () => {
    const repair = completion('repair', '2026-02-01');
    const later = completion('job', '2026-02-01');
    expect(dueItemsOf(vehicle([rule], { completions: [repair, later] }))).toEqual([]);
    const earlier = { ...later, id: 'c-0' };
    expect(dueItemsOf(vehicle([rule], { completions: [repair, earlier] }))).toHaveLength(1);
    expect(
      dueItemsOf(vehicle([rule], { completions: [repair, completion('job', '2026-01-31')] })),
    ).toHaveLength(1);
  });

  test('0 days: before the vehicle leaves', () => {
    const check = job({ kind: 'follow-up', followUp: { afterTask: 'repair', days: 0 } });
    const input = vehicle([check], {
      completions: [completion('repair', '2026-02-01')],
      dutyClass: 'severe',
    });
    input.programme = { ...input.programme, severityByDutyClass: { severe: 0.5 } };
    expect(itemOf(input)).toMatchObject({ dueOn: '2026-02-01', lateOn: '2026-02-01' });
  });

  test('a task that satisfies the trigger is one', () => {
    const rules: RuleOptions[] = [
      rule,
      { code: 'big', task: 'big', everyMonths: 120, satisfies: ['repair'] },
      { code: 'repair', task: 'repair', everyMonths: 120 },
    ];
    const input = vehicle(rules, { completions: [completion('big', '2026-02-01', { totalKm: 72_320 })] });
    expect(itemOf(input, 'job').dueOn).toBe('2026-02-11');
  });
});

describe('fixed cadence', () => {
  const yearly = job({ everyMonths: 12, cadence: 'fixed', tolerance: { earlyDays: 30, lateDays: 14 } });
  const dueAfter = (
    doneOn: string[],
    rule = yearly,
    inServiceOn: string | null = '2023-05-15',
  ): string | null =>
    itemOf(vehicle([rule], { inServiceOn, completions: doneOn.map((on) => completion('job', on)) })).dueOn;

  test.each<[string, string[], string]>([
    ['never done: the first occurrence stands', [], '2024-05-15'],
    ['late: does not move the rest', ['2024-05-01', '2025-09-01'], '2026-05-15'],
    // far from any window, and with nothing older open it counts for the next one
    ['the first known completion, late: 2024 is not owed, 2025 is settled', ['2024-09-01'], '2026-05-15'],
    ['done twice in one window settles it once', ['2024-05-10', '2024-05-20'], '2025-05-15'],
    ['done early twice does not settle next year', ['2025-04-10', '2025-04-12'], '2026-05-15'],
    ['a gap stays open although a later one was done', ['2024-05-15', '2026-05-15'], '2025-05-15'],
    [
      'the gap is settled by work outside any window',
      ['2024-05-15', '2026-05-15', '2026-08-01'],
      '2027-05-15',
    ],
    ['before the series starts nothing is settled', ['2023-05-15'], '2024-05-15'],
  ])('%s', (_name, doneOn, dueOn) => {
    expect(dueAfter(doneOn)).toBe(dueOn);
  });

  test('occurrences wholly before the first known completion are not owed', () => {
    const input = vehicle([yearly], {
      inServiceOn: '2015-05-15',
      completions: [completion('job', '2025-05-20')],
    });
    const item = itemOf(input);
    expect(item.dueOn).toBe('2026-05-15');
    expect(item.reasoning.occurrence).toMatchObject({ number: 11, notOwed: 9 });
    expect(item.cycle).toBe('occurrence-11');
  });

  test('the first interval starts the series', () => {
    const rule = { ...yearly, first: { months: 6 } };
    expect(dueAfter([], rule)).toBe('2023-11-15');
    expect(dueAfter(['2023-11-20'], rule)).toBe('2024-11-15');
  });

  test('by distance: the series stands at multiples of the interval', () => {
    const rule = job({ everyKm: 30_000, cadence: 'fixed', tolerance: { earlyKm: 2_000, lateKm: 2_000 } });
    const input = vehicle([rule], {
      inServiceOn: '2023-08-11',
      completions: [completion('job', '2025-08-25'), completion('job', '2026-09-20')],
    });
    // 60,000 km on 2025-08-31, 90,000 km on 2026-09-10; next 120,000 km
    expect(itemOf(input)).toMatchObject({ dueOn: '2027-09-20', dueOdometerKm: 120_000 });
  });

  test('occurrences before the age that the rule asks for are not owed', () => {
    const rule = { ...yearly, appliesTo: { vehicleAgeMonths: { from: 36 } } };
    expect(dueAfter([], rule)).toBe('2026-05-15');
  });

  test('without an anchor it is undetermined', () => {
    expect(dueAfter([], yearly, null)).toBeNull();
  });
});

describe('unit rules', () => {
  const unit: FittedUnit = {
    unitId: 'u-1',
    serialNumber: 'TV-0001',
    typeCode: 'suspension-40',
    position: 'suspension-front-left',
    fittedOn: '2026-01-13',
    firstFittedOn: '2024-01-01',
    vehicleTotalKmAtFitting: 70_800,
    unitTotalKmAtFitting: 25_000,
    earlierTrack: track(['2024-01-01', 0], ['2025-10-01', 25_000]),
    earlierCompletions: [],
    madeOn: '2023-06-15',
    lastChargedOn: null,
    nominalPrecharge20BarGauge: 40,
    prechargeForecasts: [],
  };
  const test40: RuleOptions = job({ scope: 'unit', everyKm: 40_000, positions: [unit.position] });

  test('its distance is what it travelled on whichever vehicle', () => {
    // 15,000 km to go from 70,800 km on this vehicle
    expect(itemOf(vehicle([test40], { units: [unit] }))).toMatchObject({
      unitId: 'u-1',
      dueOdometerKm: 85_800,
      dueOn: '2026-07-20',
      marks: [],
    });
  });

  test('earlier work on it counts with its own distance', () => {
    const tested = {
      ...unit,
      earlierCompletions: [completion('job', '2025-06-01', { totalKm: 20_000, unitId: 'u-1' })],
    };
    expect(itemOf(vehicle([test40], { units: [tested] })).dueOdometerKm).toBe(105_800);
    const unread = { ...unit, earlierCompletions: [completion('job', '2024-11-15', { unitId: 'u-1' })] };
    const item = itemOf(vehicle([test40], { units: [unread] }));
    // 319 of 639 days
    expect(item.dueOdometerKm).toBeCloseTo(70_800 - 25_000 + 40_000 + (25_000 * 319) / 639, 2);
    expect(item.marks).toEqual(['odometer-interpolated']);
  });

  test('a limit reached on an earlier vehicle lies before the fitting', () => {
    const rule = job({ scope: 'unit', everyKm: 12_500, positions: [unit.position] });
    expect(itemOf(vehicle([rule], { units: [unit] })).dueOn).toBe('2024-11-16');
  });

  test('work at the position before the fitting was done on another unit', () => {
    const at = (doneOn: string, unitId: string | null = null): DueItem =>
      itemOf(
        vehicle([job({ scope: 'unit', everyMonths: 12, positions: [unit.position] })], {
          units: [unit],
          completions: [completion('job', doneOn, { position: unit.position, unitId })],
        }),
      );
    expect(at('2026-01-12').dueOn).toBe('2025-01-01');
    expect(at('2026-01-13')).toMatchObject({ dueOn: '2027-01-13', marks: ['unit-not-named'] });
    expect(at('2026-02-01', 'u-1')).toMatchObject({ dueOn: '2027-02-01', marks: [] });
    expect(at('2026-02-01', 'u-2').dueOn).toBe('2025-01-01');
  });

  test('age since manufacture, met for good once the work was done at that age', () => {
    const rule = job({
      scope: 'unit',
      unitAgeMonths: 36,
      positions: [unit.position],
      tolerance: { earlyDays: 20 },
    });
    const doneOn = (on: string): DueItem[] =>
      dueItemsOf(vehicle([rule], { units: [unit], completions: [completion('job', on, { unitId: 'u-1' })] }));
    expect(itemOf(vehicle([rule], { units: [unit] }))).toMatchObject({ dueOn: '2026-06-15', driver: 'age' });
    expect(doneOn('2026-05-25')).toHaveLength(1);
    expect(doneOn('2026-05-26')).toEqual([]);
    expect(itemOf(vehicle([rule], { units: [{ ...unit, madeOn: null }] })).missing[0]?.code).toBe(
      'unit-made-on',
    );
    expect(itemOf(vehicle([rule])).missing[0]?.code).toBe('unit');
  });

  test('age since the last charge: recorded, by the latest work, or as made', () => {
    const rule = job({
      scope: 'unit',
      unitAgeMonths: 60,
      unitAgeSince: 'last-charge',
      positions: [unit.position],
    });
    expect(itemOf(vehicle([rule], { units: [unit] }))).toMatchObject({
      dueOn: '2028-06-15',
      marks: ['charged-when-made'],
    });
    const charged = { ...unit, lastChargedOn: '2025-02-01' };
    expect(itemOf(vehicle([rule], { units: [charged] }))).toMatchObject({ dueOn: '2030-02-01', marks: [] });
    const completions = [completion('job', '2026-03-01', { unitId: 'u-1' })];
    expect(itemOf(vehicle([rule], { units: [charged], completions })).dueOn).toBe('2031-03-01');
    expect(itemOf(vehicle([rule], { units: [{ ...unit, madeOn: null }] })).missing[0]?.code).toBe(
      'unit-last-charged-on',
    );
  });

  const forecast = {
    limit20BarGauge: 32,
    knownUntil: toEpochDay('2026-06-01'),
    belowLimit: [
      { day: toEpochDay('2026-06-01'), probability: 0 },
      { day: toEpochDay('2026-09-09'), probability: 0.5 },
      { day: toEpochDay('2026-12-18'), probability: 1 },
    ],
  };
  const recharge = (more: Partial<RuleOptions> = {}): RuleOptions =>
    job({ scope: 'unit', prechargeLimit: { shareOfNominal: 0.8 }, positions: [unit.position], ...more });
  const forecastUnit = { ...unit, prechargeForecasts: [forecast] };

  test('condition: due at a probability of 0.5, of 0.1 where safety-critical', () => {
    expect(itemOf(vehicle([recharge()], { units: [forecastUnit] }))).toMatchObject({
      driver: 'condition',
      dueOn: '2026-09-09',
      earliestOn: '2026-06-21',
      latestOn: '2026-11-28',
    });
    const critical = recharge({ safetyCritical: true });
    expect(itemOf(vehicle([critical], { units: [forecastUnit] })).dueOn).toBe('2026-06-21');
    const inBar = recharge({ prechargeLimit: { bar: 32 } });
    expect(itemOf(vehicle([inBar], { units: [forecastUnit] })).dueOn).toBe('2026-09-09');
  });

  test('condition: what is missing is named', () => {
    const missing = (units: FittedUnit[], completions = [completion('other', '2020-01-01')]): unknown =>
      itemOf(vehicle([recharge()], { units, completions })).missing.map((each) => each.code);
    expect(missing([])).toEqual(['unit']);
    expect(missing([{ ...unit, nominalPrecharge20BarGauge: null }])).toEqual(['unit-nominal-precharge']);
    expect(missing([unit])).toEqual(['precharge-test']);
    // recharged after the last test: what was forecast is void
    expect(missing([forecastUnit], [completion('job', '2026-06-02', { unitId: 'u-1' })])).toEqual([
      'precharge-test',
    ]);
  });

  test('condition: never below the limit as far as the forecast looks', () => {
    const stable = { ...forecast, belowLimit: forecast.belowLimit.slice(0, 1) };
    const item = itemOf(vehicle([recharge()], { units: [{ ...unit, prechargeForecasts: [stable] }] }));
    expect(item).toMatchObject({ beyondHorizon: true, dueOn: null, earliestOn: null });
  });

  test('tie: condition drives before age, age before time', () => {
    const made = { ...forecastUnit, madeOn: '2021-09-09' };
    const rule = recharge({ unitAgeMonths: 60, everyMonths: 12 });
    const input = vehicle([rule], {
      units: [{ ...made, firstFittedOn: '2025-09-09' }],
    });
    expect(itemOf(input)).toMatchObject({ dueOn: '2026-09-09', driver: 'condition' });
    const aged = { ...input, units: [{ ...made, firstFittedOn: '2025-09-09', prechargeForecasts: [] }] };
    expect(itemOf(aged)).toMatchObject({ dueOn: '2026-09-09', driver: 'age', partial: true });
  });

  test('a rule for some unit types: another type owes nothing, an unknown unit is undetermined', () => {
    const rule = recharge({ appliesTo: { unitTypes: ['main-65'] } });
    expect(dueItemsOf(vehicle([rule], { units: [unit] }))).toEqual([]);
    expect(itemOf(vehicle([rule])).missing.map((each) => each.code)).toEqual(['unit']);
  });

  test('what cannot be told of a unit with an unknown past', () => {
    const unknown = { ...unit, firstFittedOn: null, unitTotalKmAtFitting: null };
    expect(itemOf(vehicle([test40], { units: [unknown] })).missing.map((each) => each.code)).toEqual([
      'unit-first-fitted-on',
    ]);
    const halfKnown = { ...unit, unitTotalKmAtFitting: null };
    expect(itemOf(vehicle([test40], { units: [halfKnown] })).missing.map((each) => each.code)).toEqual([
      'unit-distance',
    ]);
  });
});
