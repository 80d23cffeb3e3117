import { DueInput } from '../../src/core/due/due-input';
import { RuleOptions } from '../../src/core/due/rule';
import { DueState, stateOn } from '../../src/core/due/state';
import { toEpochDay } from '../../src/core/shared/calendar-date';
import { meterTrack } from '../../src/core/usage/meter-track';
import { completion, itemOf, vehicle } from '../core/due/due-case';

// Worked by hand with calendar and pencil; docs/due-semantics.md shows the working. The vehicle runs exactly
// 80 km a day and shows 96,080 km on 2026-11-25; its fluid was last changed on 2025-08-31 at 60,000 km.

const FLUID_CHANGE: RuleOptions = {
  code: 'fluid-change',
  task: 'fluid-change',
  everyMonths: 24,
  everyKm: 60_000,
  tolerance: { earlyDays: 30, lateDays: 14 },
};

function fluidChange(options: Partial<RuleOptions>, dutyClass = 'normal'): DueInput {
  return vehicle([{ ...FLUID_CHANGE, ...options }], {
    dutyClass,
    completions: [completion('fluid-change', '2025-08-31', { totalKm: 60_000 })],
  });
}

interface WorkedExample {
  name: string;
  input: DueInput;
  expected: { dueOn: string; driver: string; earlyOn?: string; lateOn?: string; dueOdometerKm?: number };
  states?: [on: string, state: DueState][];
}

const EXAMPLES: WorkedExample[] = [
  {
    name: '1: every 24 months or 60,000 km, whichever is first',
    input: fluidChange({}),
    expected: {
      dueOn: '2027-08-31',
      driver: 'time',
      earlyOn: '2027-08-01',
      lateOn: '2027-09-14',
      dueOdometerKm: 120_000,
    },
    states: [
      ['2027-07-31', 'not-due'],
      ['2027-08-01', 'due-soon'],
      ['2027-08-31', 'due'],
      ['2027-09-14', 'due'],
      ['2027-09-15', 'overdue'],
    ],
  },
  {
    name: '2: the same with severity 0.7',
    input: fluidChange({ severityByDutyClass: { severe: 0.7 } }, 'severe'),
    expected: { dueOn: '2027-01-24', driver: 'time', dueOdometerKm: 102_000 },
  },
  {
    name: '3: whichever is last',
    input: fluidChange({ whichever: 'last' }),
    expected: { dueOn: '2027-09-20', driver: 'distance', lateOn: '2027-10-04', dueOdometerKm: 120_000 },
  },
  {
    name: '4: never done, in service on a leap day, first interval 12 months',
    input: vehicle([{ code: 'inspection', task: 'inspection', everyMonths: 24, first: { months: 12 } }], {
      inServiceOn: '2024-02-29',
    }),
    expected: { dueOn: '2025-02-28', driver: 'time' },
  },
  ...fixedMonthly(),
  ...fixedYearly(),
];

function fixedMonthly(): WorkedExample[] {
  const rule: RuleOptions = { code: 'monthly', task: 'monthly', everyMonths: 1, cadence: 'fixed' };
  const dates = ['2024-02-29', '2024-03-31', '2024-04-30', '2024-05-31'];
  return dates.map((dueOn, done) => ({
    name: `5: fixed cadence every month from 31 January, ${done} done`,
    input: vehicle([rule], {
      inServiceOn: '2024-01-31',
      completions: dates.slice(0, done).map((on) => completion('monthly', on)),
    }),
    expected: { dueOn, driver: 'time' },
  }));
}

function fixedYearly(): WorkedExample[] {
  const rule: RuleOptions = {
    code: 'yearly',
    task: 'yearly',
    everyMonths: 12,
    cadence: 'fixed',
    tolerance: { earlyDays: 30, lateDays: 14 },
  };
  // the series starts from a completion where the in-service date is unknown: 2024 is then open
  const after = (inServiceOn: string | null, ...doneOn: string[]): DueInput =>
    vehicle([rule], { inServiceOn, completions: doneOn.map((on) => completion('yearly', on)) });
  return [
    {
      name: '6: done inside the window of 2025',
      input: after('2023-05-15', '2025-04-20'),
      expected: { dueOn: '2026-05-15', driver: 'time', earlyOn: '2026-04-15', lateOn: '2026-05-29' },
    },
    {
      name: '6: done before the window of 2025 while 2024 is open settles 2024',
      input: after(null, '2023-05-15', '2025-04-10'),
      expected: { dueOn: '2025-05-15', driver: 'time' },
    },
    {
      name: '6: done before the window of 2025 with nothing older open settles 2025',
      input: after('2023-05-15', '2025-04-10'),
      expected: { dueOn: '2026-05-15', driver: 'time' },
    },
    {
      name: '6: the same where 2024 was done',
      input: after(null, '2023-05-15', '2024-05-10', '2025-04-10'),
      expected: { dueOn: '2026-05-15', driver: 'time' },
    },
  ];
}

describe('worked examples of what "due" means', () => {
  test.each(EXAMPLES)('$name', ({ input, expected, states }) => {
    const item = itemOf(input);
    expect(item).toMatchObject(expected);
    for (const [on, state] of states ?? []) expect([on, stateOn(item, on)]).toEqual([on, state]);
  });

  test('1 and 2: the other limit, as worked by hand', () => {
    const datesOf = (input: DueInput): unknown[] =>
      itemOf(input).reasoning.limits.map((limit) =>
        'dueOn' in limit ? [limit.kind, limit.dueOn, limit.lateOn] : [],
      );
    expect(datesOf(fluidChange({}))).toEqual([
      ['time', '2027-08-31', '2027-09-14'],
      ['distance', '2027-09-20', '2027-10-04'],
    ]);
    expect(datesOf(fluidChange({ severityByDutyClass: { severe: 0.7 } }, 'severe'))).toEqual([
      ['time', '2027-01-24', '2027-02-07'],
      ['distance', '2027-02-07', '2027-02-21'],
    ]);
  });

  test('7: the total survives a change of the instrument at 81,250 km, the new one showing 12 km', () => {
    const readings = [{ id: 'a', day: toEpochDay('2026-11-20'), value: 3_412, unit: 'km' as const }];
    const change = {
      day: toEpochDay('2026-09-01'),
      oldFinalValue: 81_250,
      oldUnit: 'km' as const,
      newInitialValue: 12,
      newUnit: 'km' as const,
    };
    const odometerTrack = meterTrack(readings, [change]);
    expect(odometerTrack.at(-1)?.total).toBe(84_650);
    // a campaign at 84,650 km is reached on the day of that reading
    const campaign: RuleOptions = {
      code: 'recall',
      task: 'recall',
      kind: 'campaign',
      campaign: { byOdometerKm: 84_650 },
    };
    expect(itemOf(vehicle([campaign], { odometerTrack, distanceForecast: null })).dueOn).toBe('2026-11-20');
  });
});
