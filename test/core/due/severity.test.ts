import { scaledDown, scaledInterval, scaledMonths, severityOf } from '../../../src/core/due/severity';
import { RuleOptions } from '../../../src/core/due/rule';
import { programme } from './due-case';

describe('severity', () => {
  // worked by hand: whole months by the calendar, the fraction × 30 days rounded down
  test.each([
    [24, 0.7, { months: 16, days: 24 }],
    [24, 1, { months: 24, days: 0 }],
    [12, 0.9, { months: 10, days: 24 }],
    [12, 0.75, { months: 9, days: 0 }],
    [1, 0.5, { months: 0, days: 15 }],
    [7, 0.33, { months: 2, days: 9 }],
    [24, 1.25, { months: 30, days: 0 }],
    // 0.29 × 100 is 28.999… in floating point
    [100, 0.29, { months: 29, days: 0 }],
  ])('%d months × %d', (months, factor, expected) => {
    expect(scaledMonths(months, factor)).toEqual(expected);
  });

  test('kilometres, hours and days are rounded down, to 1 at least; 0 days stay 0', () => {
    expect(scaledDown(60_000, 0.7)).toBe(42_000);
    expect(scaledDown(100, 0.29)).toBe(29);
    expect(scaledDown(10, 0.333)).toBe(3);
    expect(scaledDown(1, 0.5)).toBe(1);
    expect(scaledDown(0, 0.5)).toBe(0);
  });

  test('the fraction of the months goes to the days, and something is always left', () => {
    const interval = { months: 24, days: 10, km: 5, engineHours: 3 };
    expect(scaledInterval(interval, 0.7)).toEqual({ months: 16, days: 31, km: 3, engineHours: 2 });
    expect(scaledInterval({ months: 1, days: null, km: null, engineHours: null }, 0.03)).toEqual({
      months: 0,
      days: 1,
      km: null,
      engineHours: null,
    });
  });

  test('the rule’s own table takes the place of the programme’s', () => {
    const rules: RuleOptions[] = [
      { code: 'a', task: 'a', everyMonths: 1 },
      { code: 'b', task: 'b', everyMonths: 1, severityByDutyClass: { severe: 0.5 } },
      { code: 'c', task: 'c', everyMonths: 1, severityByDutyClass: {} },
    ];
    const made = programme(rules, { severe: 0.7, heavy: 0.8 });
    const factors = (dutyClass: string | null): unknown[] =>
      made.rules.map((rule) => severityOf(rule, made, dutyClass)).map(({ factor, known }) => [factor, known]);
    expect(factors('severe')).toEqual([
      [0.7, true],
      [0.5, true],
      [1, true],
    ]);
    expect(factors('heavy')).toEqual([
      [0.8, true],
      [1, true],
      [1, true],
    ]);
    expect(factors('constructor')).toEqual([
      [1, true],
      [1, true],
      [1, true],
    ]);
    expect(factors(null)).toEqual([
      [1, false],
      [1, false],
      [1, true],
    ]);
  });
});
