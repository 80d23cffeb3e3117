import fc from 'fast-check';
import { DueInput, TaskCompletion } from '../../../src/core/due/due-input';
import { DueItem } from '../../../src/core/due/due-item';
import { dueItemsOf } from '../../../src/core/due/due-items';
import { RuleOptions } from '../../../src/core/due/rule';
import { fromEpochDay, toEpochDay } from '../../../src/core/shared/calendar-date';
import { checkItem, completion, programme, reversed, steadyForecast, vehicle } from './due-case';

const START = toEpochDay('2022-01-01');
const TASKS = ['a', 'b', 'c'];
const anyDay = fc.integer({ min: START, max: START + 1_800 });
const anyFactor = fc.integer({ min: 30, max: 150 }).map((percent) => percent / 100);

const anyInterval = fc
  .record({
    everyMonths: fc.option(fc.integer({ min: 1, max: 60 })),
    everyDays: fc.option(fc.integer({ min: 1, max: 400 })),
    everyKm: fc.option(fc.integer({ min: 500, max: 90_000 })),
  })
  .filter((interval) => Object.values(interval).some((each) => each !== null));

const anyTolerance = fc.record({
  earlyDays: fc.integer({ min: 0, max: 60 }),
  lateDays: fc.integer({ min: 0, max: 60 }),
  earlyKm: fc.integer({ min: 0, max: 3_000 }),
  lateKm: fc.integer({ min: 0, max: 3_000 }),
});

function anyRule(code: string): fc.Arbitrary<RuleOptions> {
  return fc
    .tuple(
      anyInterval,
      fc.record({
        task: fc.constantFrom(...TASKS),
        whichever: fc.constantFrom('first' as const, 'last' as const),
        cadence: fc.constantFrom('from-completion' as const, 'from-completion' as const, 'fixed' as const),
        tolerance: anyTolerance,
        severityByDutyClass: anyFactor.map((normal) => ({ normal })),
        satisfies: fc.subarray(TASKS),
        safetyCritical: fc.boolean(),
      }),
    )
    .map(([interval, more]) => ({
      code,
      ...interval,
      ...more,
      satisfies: more.satisfies.filter((task) => task !== more.task),
    }));
}

// rules that ask for every task, so that `satisfies` always names a known one
const anyRules = fc.tuple(anyRule('r1'), anyRule('r2'), anyRule('r3')).map((rules) =>
  rules.map((rule, index): RuleOptions => {
    const task = TASKS[index] as string;
    return { ...rule, task, satisfies: rule.satisfies?.filter((each) => each !== task) };
  }),
);

const anyCompletion: fc.Arbitrary<TaskCompletion> = fc
  .record({ task: fc.constantFrom(...TASKS), day: anyDay, withKm: fc.boolean() })
  .map(({ task, day, withKm }) =>
    completion(task, fromEpochDay(day), { totalKm: withKm ? (day - START) * 55 : null }),
  );

// readings once in a while of a vehicle that drives 55 km a day, then a forecast with some spread
const anyVehicle: fc.Arbitrary<Omit<DueInput, 'programme'>> = fc
  .record({
    completions: fc.array(anyCompletion, { maxLength: 6 }),
    readingDays: fc.uniqueArray(anyDay, { maxLength: 8 }),
    inService: fc.boolean(),
    spread: fc.integer({ min: 0, max: 20 }),
    forecast: fc.boolean(),
  })
  .map(({ completions, readingDays, inService, spread, forecast }) => {
    const odometerTrack = readingDays
      .sort((a, b) => a - b)
      .map((day) => ({ day, total: (day - START) * 55 }));
    const last = odometerTrack.at(-1) ?? { day: START, total: 0 };
    return {
      ...vehicle([{ code: 'none', task: 'none', everyMonths: 1 }]),
      completions,
      inServiceOn: inService ? '2022-01-01' : null,
      odometerTrack,
      distanceForecast: forecast
        ? {
            ...steadyForecast(fromEpochDay(last.day), last.total, 55),
            spread: [
              { afterDays: 0, varianceDays: spread },
              { afterDays: 3650, varianceDays: spread * 10 },
            ],
          }
        : null,
    };
  });

const RUNS = { numRuns: 400 };
const NEVER = '9999-12-31';

function inputOf(records: Omit<DueInput, 'programme'>, rules: RuleOptions[]): DueInput {
  return { ...records, programme: programme(rules) };
}

function onlyItem(input: DueInput): DueItem {
  const items = dueItemsOf(input);
  expect(items).toHaveLength(1);
  return items[0] as DueItem;
}

// undetermined compares with nothing; beyond the horizon is later than every date
function dueOf(item: DueItem): string | null {
  return item.beyondHorizon ? NEVER : item.dueOn;
}

function expectNotEarlier(later: DueItem, earlier: DueItem): void {
  const [a, b] = [dueOf(later), dueOf(earlier)];
  if (a !== null && b !== null) expect(a >= b).toBe(true);
}

describe('laws of the due engine', () => {
  test('every item is sound: window in order, states at its edges, all numbers in the explanation', () => {
    fc.assert(
      fc.property(anyVehicle, anyRules, (records, rules) => {
        for (const item of dueItemsOf(inputOf(records, rules))) checkItem(item);
      }),
      RUNS,
    );
  });

  test('a later baseline never gives an earlier due date', () => {
    fc.assert(
      fc.property(anyVehicle, anyRule('r'), anyDay, fc.nat(600), (records, options, day, later) => {
        const rule: RuleOptions = { ...options, cadence: 'from-completion', task: 'a', satisfies: [] };
        const at = (on: number): DueItem => {
          const done = completion('a', fromEpochDay(on), { totalKm: (on - START) * 55 });
          return onlyItem(inputOf({ ...records, completions: [done] }, [rule]));
        };
        expectNotEarlier(at(day + later), at(day));
      }),
      RUNS,
    );
  });

  test('a shorter interval is never due later', () => {
    fc.assert(
      fc.property(anyVehicle, anyRule('r'), anyFactor, (records, options, factor) => {
        const rule: RuleOptions = { ...options, cadence: 'from-completion', satisfies: [] };
        const shorter = (value: number | null | undefined): number | null =>
          value == null ? null : Math.max(1, Math.floor(value * Math.min(1, factor)));
        const short: RuleOptions = {
          ...rule,
          everyMonths: shorter(rule.everyMonths),
          everyDays: shorter(rule.everyDays),
          everyKm: shorter(rule.everyKm),
        };
        expectNotEarlier(onlyItem(inputOf(records, [rule])), onlyItem(inputOf(records, [short])));
      }),
      RUNS,
    );
  });

  test('a smaller severity factor is never due later', () => {
    fc.assert(
      fc.property(anyVehicle, anyRule('r'), anyFactor, anyFactor, (records, options, f, g) => {
        const rule: RuleOptions = { ...options, cadence: 'from-completion', satisfies: [] };
        const at = (normal: number): DueItem =>
          onlyItem(inputOf(records, [{ ...rule, severityByDutyClass: { normal } }]));
        expectNotEarlier(at(Math.max(f, g)), at(Math.min(f, g)));
      }),
      RUNS,
    );
  });

  test('more usage is never due later', () => {
    fc.assert(
      fc.property(anyVehicle, anyRule('r'), fc.integer({ min: 0, max: 200 }), (records, options, more) => {
        const rule: RuleOptions = { ...options, cadence: 'from-completion', satisfies: [] };
        const { distanceForecast } = records;
        const faster = distanceForecast && {
          ...distanceForecast,
          ratePerDay: distanceForecast.ratePerDay + more,
        };
        // with the odometer at the baseline given, so that usage does not move it
        const completions = records.completions.map((each) => ({
          ...each,
          totalKm: (toEpochDay(each.doneOn) - START) * 55,
        }));
        const at = (forecast: DueInput['distanceForecast']): DueItem =>
          onlyItem(inputOf({ ...records, completions, distanceForecast: forecast }, [rule]));
        expectNotEarlier(at(distanceForecast), at(faster));
      }),
      RUNS,
    );
  });

  test('recording a completion moves exactly what it satisfies', () => {
    fc.assert(
      fc.property(anyVehicle, anyRules, fc.constantFrom(...TASKS), (records, rules, task) => {
        const input = inputOf(records, rules);
        const doneOn = fromEpochDay(START + 1_801);
        const after = dueItemsOf({
          ...input,
          completions: [...input.completions, completion(task, doneOn, { totalKm: 99_055 })],
        });
        const before = dueItemsOf(input);
        const satisfied = new Set([task, ...(rules.find((rule) => rule.task === task)?.satisfies ?? [])]);
        after.forEach((item, index) => {
          if (!satisfied.has(item.task)) expect(item).toEqual(before[index]);
          else if (item.reasoning.occurrence === null) {
            expect(item.reasoning.baseline).toMatchObject({ kind: 'completion', on: doneOn, task });
            if (item.driver === 'time') expect(item.dueOn! > doneOn).toBe(true);
          }
        });
      }),
      RUNS,
    );
  });

  test('the order of the records makes no difference', () => {
    fc.assert(
      fc.property(anyVehicle, anyRules, (records, rules) => {
        const input = inputOf(records, rules);
        expect(dueItemsOf(reversed(input))).toEqual(dueItemsOf(input));
      }),
      RUNS,
    );
  });

  test('recording one thing at a time ends where computing everything at once does', () => {
    fc.assert(
      fc.property(anyVehicle, anyRules, (records, rules) => {
        const input = inputOf(records, rules);
        const completions: TaskCompletion[] = [];
        let stored = dueItemsOf({ ...input, completions });
        for (const each of input.completions) {
          completions.push(each);
          // only items of a task that the completion counts for are computed again
          const counts = new Set([
            each.task,
            ...(rules.find((rule) => rule.task === each.task)?.satisfies ?? []),
          ]);
          const fresh = dueItemsOf({ ...input, completions });
          stored = stored.map((item) =>
            counts.has(item.task) ? fresh.find((one) => one.key === item.key)! : item,
          );
        }
        expect(stored).toEqual(dueItemsOf(input));
      }),
      RUNS,
    );
  });

  test('a fixed series: completions leave every occurrence on its date', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 24 }),
        fc.array(anyDay, { maxLength: 8 }),
        (everyMonths, days) => {
          const rule: RuleOptions = { code: 'r', task: 'a', everyMonths, cadence: 'fixed' };
          const completions = days.map((day) => completion('a', fromEpochDay(day)));
          const item = onlyItem(vehicle([rule], { inServiceOn: '2022-01-31', completions }));
          const number = item.reasoning.occurrence!.number;
          const expected = onlyItem(
            vehicle([{ code: 'r', task: 'a', everyMonths: everyMonths * number }], {
              inServiceOn: '2022-01-31',
            }),
          );
          expect(item.dueOn).toBe(expected.dueOn);
          expect(item.reasoning.occurrence!.settled.length).toBeLessThanOrEqual(days.length);
        },
      ),
      RUNS,
    );
  });

  test('doing it again later never brings a fixed item forward', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 24 }),
        fc.array(anyDay, { maxLength: 6 }),
        (everyMonths, days) => {
          const rule: RuleOptions = {
            code: 'r',
            task: 'a',
            everyMonths,
            cadence: 'fixed',
            tolerance: { earlyDays: 20, lateDays: 5 },
          };
          const done = days.sort((a, b) => a - b).map((day) => completion('a', fromEpochDay(day)));
          let last = '0001-01-01';
          // the very first completion may waive occurrences before it; from then on the item only moves on
          for (let count = 0; count <= done.length; count += 1) {
            const item = onlyItem(
              vehicle([rule], { inServiceOn: '2021-12-31', completions: done.slice(0, count) }),
            );
            expect(item.dueOn! >= last).toBe(true);
            last = item.dueOn!;
          }
        },
      ),
      RUNS,
    );
  });
});
