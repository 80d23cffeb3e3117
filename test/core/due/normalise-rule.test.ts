import { normaliseProgramme, storedProgramme } from '../../../src/core/due/normalise-programme';
import { normaliseRule } from '../../../src/core/due/normalise-rule';
import { InputError } from '../../../src/core/shared/input-error';

const BASE = { code: 'job', task: 'job', everyMonths: 12 };

function fieldsRefused(options: unknown): string[] {
  const { errors } = normaliseRule(options);
  for (const error of errors) {
    expect(error).toBeInstanceOf(InputError);
    expect(error.message).not.toBe('');
    expect(error.remedy).not.toBe('');
  }
  return errors.map((error) => error.field);
}

describe('normaliseRule', () => {
  test('fills in every default', () => {
    expect(normaliseRule(BASE)).toEqual({
      errors: [],
      value: {
        code: 'job',
        task: 'job',
        title: 'job',
        kind: 'recurring',
        scope: 'vehicle',
        positions: null,
        appliesTo: { layout: {}, fluids: null, dutyClasses: null, unitTypes: null, vehicleAgeMonths: null },
        every: { months: 12, days: null, km: null, engineHours: null },
        first: null,
        unitAge: null,
        prechargeLimit: null,
        campaign: null,
        after: null,
        whichever: 'first',
        severityByDutyClass: null,
        cadence: 'from-completion',
        tolerance: { earlyDays: 0, lateDays: 0, earlyKm: 0, lateKm: 0 },
        satisfies: [],
        doBefore: [],
        safetyCritical: false,
        labourMinutes: null,
        competences: [],
        bayKind: null,
        consumables: [],
        testLimits: null,
        source: null,
      },
    });
  });

  test('the probability at which a condition is due is 0.5, and 0.1 for a safety-critical rule', () => {
    const rule = { code: 'r', task: 'r', scope: 'unit', prechargeLimit: { shareOfNominal: 0.8 } };
    expect(normaliseRule(rule).value?.prechargeLimit?.dueAtProbability).toBe(0.5);
    expect(normaliseRule({ ...rule, safetyCritical: true }).value?.prechargeLimit?.dueAtProbability).toBe(
      0.1,
    );
  });

  test('names every wrong field at once, with a pointer into what the caller gave', () => {
    const { value, errors } = normaliseRule(
      {
        code: 'Not a code',
        everyMonths: 1.5,
        everyKm: '60000',
        tolerance: { earlyDays: -1, often: 1 },
        colour: 'red',
      },
      '/rules/3',
    );
    expect(value).toBeNull();
    expect(errors.map((error) => error.field)).toEqual([
      '/rules/3/code',
      '/rules/3/task',
      '/rules/3/everyMonths',
      '/rules/3/everyKm',
      '/rules/3/tolerance/earlyDays',
      '/rules/3/tolerance/often',
      '/rules/3/colour',
    ]);
  });

  const refused: [string, unknown, string[]][] = [
    ['not an object', 'rule', ['']],
    ['a list', [BASE], ['']],
    ['no limit', { code: 'a', task: 'a' }, ['']],
    ['zero months', { ...BASE, everyMonths: 0 }, ['/everyMonths']],
    ['not a number', { ...BASE, everyMonths: NaN }, ['/everyMonths']],
    ['beyond the range', { ...BASE, everyKm: 5_000_001 }, ['/everyKm']],
    ['an unknown kind', { ...BASE, kind: 'sometimes' }, ['/kind']],
    ['a number as flag', { ...BASE, safetyCritical: 1 }, ['/safetyCritical']],
    ['an empty title', { ...BASE, title: ' ' }, ['/title']],
    ['a title too long', { ...BASE, title: 'x'.repeat(201) }, ['/title']],
    [
      'an unverified fact as condition',
      { ...BASE, appliesTo: { antiSinkValves: ['unverified'] } },
      ['/appliesTo/antiSinkValves/0'],
    ],
    ['an empty condition', { ...BASE, appliesTo: { fluids: [] } }, ['/appliesTo/fluids']],
    ['an empty layout condition', { ...BASE, appliesTo: { pumpKind: [] } }, ['/appliesTo/pumpKind']],
    ['the same twice', { ...BASE, competences: ['brakes', 'brakes'] }, ['/competences/1']],
    ['not a list', { ...BASE, competences: 'brakes' }, ['/competences']],
    [
      'age upside down',
      { ...BASE, appliesTo: { vehicleAgeMonths: { from: 20, until: 20 } } },
      ['/appliesTo/vehicleAgeMonths/until'],
    ],
    ['age without bounds', { ...BASE, appliesTo: { vehicleAgeMonths: {} } }, ['/appliesTo/vehicleAgeMonths']],
    [
      'a severity factor with five decimals',
      { ...BASE, severityByDutyClass: { severe: 0.70001 } },
      ['/severityByDutyClass/severe'],
    ],
    [
      'a severity factor of null',
      { ...BASE, severityByDutyClass: { severe: null } },
      ['/severityByDutyClass/severe'],
    ],
    ['an empty first interval', { ...BASE, first: {} }, ['/first']],
    ['positions of a vehicle rule', { ...BASE, positions: ['main-accumulator'] }, ['/positions']],
    ['no positions at all', { ...BASE, scope: 'unit', positions: [] }, ['/positions']],
    ['unit age of a vehicle rule', { code: 'a', task: 'a', unitAgeMonths: 60 }, ['/unitAgeMonths']],
    ['unit types of a vehicle rule', { ...BASE, appliesTo: { unitTypes: ['x'] } }, ['/appliesTo/unitTypes']],
    [
      'an age origin without an age',
      { ...BASE, scope: 'unit', unitAgeSince: 'last-charge' },
      ['/unitAgeSince'],
    ],
    [
      'two precharge limits',
      { ...BASE, scope: 'unit', prechargeLimit: { bar: 30, shareOfNominal: 0.8 } },
      ['/prechargeLimit'],
    ],
    [
      'a share above 1',
      { ...BASE, scope: 'unit', prechargeLimit: { shareOfNominal: 1.2 } },
      ['/prechargeLimit/shareOfNominal'],
    ],
    ['no test limit', { ...BASE, testLimits: {} }, ['/testLimits']],
    ['an unknown test limit', { ...BASE, testLimits: { pressure: 3 } }, ['/testLimits/pressure']],
    [
      'a test limit upside down',
      { ...BASE, testLimits: { warningLowBar: 100, warningHighBar: 80 } },
      ['/testLimits/warningHighBar'],
    ],
    ['a campaign without an end', { code: 'a', task: 'a', kind: 'campaign', campaign: {} }, ['/campaign']],
    ['a campaign without terms', { code: 'a', task: 'a', kind: 'campaign' }, ['/campaign']],
    [
      'a campaign by a day that does not exist',
      { code: 'a', task: 'a', kind: 'campaign', campaign: { byOn: '2025-02-29' } },
      ['/campaign/byOn'],
    ],
    [
      'a campaign with an interval',
      { ...BASE, kind: 'campaign', campaign: { byOn: '2025-02-28' } },
      ['/everyMonths'],
    ],
    ['a recurring rule with campaign terms', { ...BASE, campaign: { byOn: '2025-02-28' } }, ['/campaign']],
    [
      'a follow-up without a task',
      { code: 'a', task: 'a', kind: 'follow-up', followUp: { km: 5 } },
      ['/followUp/afterTask'],
    ],
    [
      'a follow-up without an interval',
      { code: 'a', task: 'a', kind: 'follow-up', followUp: { afterTask: 'b' } },
      ['/followUp'],
    ],
    [
      'a follow-up of itself',
      { code: 'a', task: 'a', kind: 'follow-up', followUp: { afterTask: 'a', km: 5 } },
      ['/followUp/afterTask'],
    ],
    ['a task that satisfies itself', { ...BASE, satisfies: ['job'] }, ['/satisfies']],
    ['a task before itself', { ...BASE, doBefore: ['job'] }, ['/doBefore']],
    [
      'a fixed cadence of units by age',
      { code: 'a', task: 'a', scope: 'unit', unitAgeMonths: 5, cadence: 'fixed' },
      ['/unitAgeMonths', '/cadence'],
    ],
    ['a fixed cadence of 10 km', { code: 'a', task: 'a', everyKm: 10, cadence: 'fixed' }, ['/everyKm']],
    [
      'a fixed first limit that the series has not',
      { ...BASE, first: { km: 500 }, cadence: 'fixed' },
      ['/first'],
    ],
    [
      'a consumable without quantity',
      { ...BASE, consumables: [{ item: 'oil', unit: 'l' }] },
      ['/consumables/0/quantity'],
    ],
    ['a consumable that is a text', { ...BASE, consumables: ['oil'] }, ['/consumables/0']],
  ];

  test.each(refused)('refuses %s', (_name, options, fields) => {
    expect(fieldsRefused(options)).toEqual(expect.arrayContaining(fields));
  });
});

describe('normaliseProgramme', () => {
  const fields = (options: unknown): string[] =>
    normaliseProgramme(options).errors.map((error) => error.field);

  test('orders the rules by code', () => {
    const rules = [
      { ...BASE, code: 'b' },
      { ...BASE, code: 'a' },
    ];
    expect(normaliseProgramme({ rules }).value?.rules.map((rule) => rule.code)).toEqual(['a', 'b']);
  });

  test('refuses codes that occur twice, tasks that nobody asks for, and circles', () => {
    expect(fields({ rules: [BASE, BASE] })).toEqual(['/rules/1/code']);
    expect(fields({ rules: [{ ...BASE, satisfies: ['x'], doBefore: ['y'] }] })).toEqual([
      '/rules/0/satisfies',
      '/rules/0/doBefore',
    ]);
    const circle = ['a', 'b', 'c'].map((task, index, all) => ({
      code: task,
      task,
      everyDays: 1,
      doBefore: [all[(index + 1) % 3]],
    }));
    expect(fields({ rules: circle })).toEqual([
      '/rules/0/doBefore',
      '/rules/1/doBefore',
      '/rules/2/doBefore',
    ]);
    expect(
      fields({
        rules: circle.slice(0, 2).map((rule, index) => ({ ...rule, doBefore: index === 0 ? ['b'] : [] })),
      }),
    ).toEqual([]);
  });

  test('refuses what is not a programme', () => {
    expect(fields(null)).toEqual(['']);
    expect(fields({})).toEqual(['/rules']);
    expect(fields({ rules: [] })).toEqual(['/rules']);
    expect(fields({ rules: [BASE], severityByDutyClass: { severe: 0 } })).toEqual([
      '/severityByDutyClass/severe',
    ]);
    expect(fields({ rules: [BASE], name: 'x' })).toEqual(['/name']);
  });

  test('a follow-up may come after work that no rule asks for', () => {
    expect(
      fields({
        rules: [{ code: 'a', task: 'a', kind: 'follow-up', followUp: { afterTask: 'repair', days: 0 } }],
      }),
    ).toEqual([]);
  });

  test('a stored programme that is not valid is a fault of the program', () => {
    expect(() => storedProgramme({ rules: [{ code: 'a', task: 'a' }] })).toThrow('assertion failed');
    expect(storedProgramme({ rules: [BASE] }).rules).toHaveLength(1);
  });
});
