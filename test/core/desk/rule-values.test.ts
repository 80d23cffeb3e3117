import { starterProgramme } from '../../../src/core/due/starter-programme';
import { ruleText } from '../../../src/desk/pages/administration/programmes/rule-text';
import {
  hasField,
  parsedRule,
  ruleOf,
  ruleValuesOf,
  type Rule,
} from '../../../src/desk/pages/administration/programmes/rule-values';

const starterRules = starterProgramme().rules as unknown as Rule[];

it.each(starterRules.map((rule) => [rule.code, rule] as const))(
  'gives the starter rule %s back as it was',
  (_code, rule) => expect(ruleOf(ruleValuesOf(rule), 'en-GB')).toEqual(rule),
);

it('keeps what has no field, and takes away what was emptied', () => {
  const rule: Rule = {
    code: 'a',
    task: 'b',
    everyMonths: 24,
    tolerance: { earlyDays: 30, lateDays: 14 },
    testLimits: { cutInLowBar: 130 },
  };
  const values = {
    ...ruleValuesOf(rule),
    everyMonths: '12',
    'tolerance/earlyDays': '',
    'tolerance/lateDays': '',
  };
  expect(ruleOf(values, 'en-GB')).toEqual({
    code: 'a',
    task: 'b',
    everyMonths: 12,
    testLimits: { cutInLowBar: 130 },
  });
});

it('sends no interval with a campaign, and no positions with a rule for vehicles', () => {
  const rule: Rule = {
    code: 'a',
    task: 'b',
    everyKm: 60_000,
    scope: 'unit',
    positions: ['suspension-front-left'],
  };
  const values = {
    ...ruleValuesOf(rule),
    kind: 'campaign',
    scope: 'vehicle',
    'campaign/byOn': '2027-03-01',
  };
  expect(ruleOf(values, 'en-GB')).toEqual({
    code: 'a',
    task: 'b',
    kind: 'campaign',
    campaign: { byOn: '2027-03-01' },
  });
  expect(hasField('everyKm', values)).toBe(false);
});

it('hands on what is no number, for the API to say what is wrong with it', () => {
  const values = { ...ruleValuesOf({ code: 'a', task: 'b' }), everyMonths: 'two years' };
  expect(ruleOf(values, 'en-GB').everyMonths).toBe('two years');
});

it.each(['{', '[]', '"rule"', 'null'])('does not take %s for a rule', (json) =>
  expect(() => parsedRule(json)).toThrow(/JSON/),
);

it.each<[Partial<Rule>, string]>([
  [{ everyMonths: 24, everyKm: 60_000 }, 'every 24 months or every 60,000 km'],
  [
    { everyMonths: 12, everyDays: 10, everyEngineHours: 500, whichever: 'last' },
    'every 12 months and 10 days and every 500 engine hours',
  ],
  [{ scope: 'unit', unitAgeMonths: 60, unitAgeSince: 'last-charge' }, '60 months after the last charge'],
  [
    { kind: 'campaign', campaign: { byOn: '2027-03-01', byOdometerKm: 90_000 } },
    'once, by 2027-03-01 or 90,000 km',
  ],
  [{ kind: 'follow-up', followUp: { afterTask: 'fluid-change', km: 1_000 } }, '1,000 km after fluid-change'],
])('says when: %j', (rule, text) => expect(ruleText({ code: 'a', task: 'b', ...rule }, 'en-GB')).toBe(text));
