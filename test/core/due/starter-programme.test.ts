import { dueItemsOf } from '../../../src/core/due/due-items';
import { normaliseProgramme } from '../../../src/core/due/normalise-programme';
import { STARTER_SOURCE, starterProgramme } from '../../../src/core/due/starter-programme';
import { UNVERIFIED_LAYOUT } from '../../../src/core/hydraulics/hydraulic-layout';
import { checkItem, completion, programme, vehicle } from './due-case';

const { rules, severityByDutyClass } = starterProgramme();
const made = programme(rules, severityByDutyClass ?? {});
const ruleOf = (code: string) => made.rules.find((rule) => rule.code === code);

describe('starter programme', () => {
  test('is valid, and every rule says that its figures are from memory', () => {
    expect(normaliseProgramme(starterProgramme()).errors).toEqual([]);
    expect(rules.map((rule) => rule.source)).toEqual(rules.map(() => STARTER_SOURCE));
    expect(rules.length).toBeGreaterThanOrEqual(8);
  });

  // common practice, no published source; the figures are from memory
  test('holds the intervals and limits of the trade', () => {
    expect(ruleOf('fluid-change-mineral')).toMatchObject({
      every: { months: 24, km: 60_000 },
      appliesTo: { fluids: ['mineral'] },
      satisfies: ['filter-clean'],
    });
    expect(ruleOf('suspension-unit-precharge-test')).toMatchObject({
      scope: 'unit',
      every: { months: 24, km: 40_000 },
    });
    expect(ruleOf('suspension-unit-recharge')).toMatchObject({
      prechargeLimit: { shareOfNominal: 0.8 },
      unitAge: { months: 60, since: 'last-charge' },
    });
    for (const code of ['low-pressure-warning-test', 'brake-reserve-test']) {
      expect(ruleOf(code)).toMatchObject({ safetyCritical: true, every: { months: 12 } });
    }
    expect(ruleOf('anti-sink-hold-test')?.appliesTo.layout).toEqual({ antiSinkValves: ['fitted'] });
  });

  test('a caller that changes its copy changes nobody else’s', () => {
    starterProgramme().rules.pop();
    expect(starterProgramme().rules).toEqual(rules);
  });

  test('a fluid change cleans the filter; work on the pressure supply asks for both checks the same day', () => {
    const completions = [
      completion('fluid-change', '2026-05-01', { totalKm: 79_440 }),
      completion('pressure-supply-work', '2026-06-01', { totalKm: 81_920 }),
    ];
    const items = dueItemsOf({
      ...vehicle([{ code: 'x', task: 'x', everyDays: 1 }]),
      programme: made,
      completions,
    });
    items.forEach(checkItem);
    const dueOn = (key: string): string | null | undefined => items.find((item) => item.key === key)?.dueOn;
    expect(dueOn('filter-clean')).toBe(dueOn('fluid-change-mineral'));
    expect(dueOn('brake-reserve-test-after-supply-work')).toBe('2026-06-01');
    expect(dueOn('low-pressure-warning-test-after-supply-work')).toBe('2026-06-01');
    expect(items.filter((item) => item.ruleCode === 'suspension-unit-precharge-test')).toHaveLength(4);
  });

  test('with nothing verified, what hangs on a fact is undetermined and names it', () => {
    const input = vehicle([{ code: 'x', task: 'x', everyDays: 1 }], { layout: UNVERIFIED_LAYOUT });
    const items = dueItemsOf({ ...input, programme: made });
    items.forEach(checkItem);
    const missing = Object.fromEntries(
      items.map((item) => [item.key, item.missing.map((each) => each.code)]),
    );
    expect(missing['anti-sink-hold-test']).toEqual(['layout.antiSinkValves']);
    expect(missing['rear-brake-accumulator-precharge-test@rear-brake-accumulator']).toEqual([
      'layout.rearBrakeAccumulator',
    ]);
    expect(missing['steering-regulator-check']).toEqual(['layout.steeringRegulator']);
    expect(missing['fluid-change-mineral']).toEqual(['layout.fluid']);
    expect(missing['brake-reserve-test']).toEqual([]);
  });
});
