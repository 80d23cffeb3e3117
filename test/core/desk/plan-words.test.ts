import { amountText, typedAmount } from '../../../src/desk/pages/planner/amounts';
import { assumptionWords } from '../../../src/desk/pages/planner/assumption-words';
import { mondaysOf, placeInStrip } from '../../../src/desk/pages/planner/day-strip';
import { differenceText, moneyText } from '../../../src/desk/pages/planner/money';
import { gapWords, savingWords, type PlanOutcome } from '../../../src/desk/pages/planner/plan-words';
import { countedTitles } from '../../../src/desk/format/counted-titles';
import { wholeNumber } from '../../../src/desk/pages/planner/whole-number';

describe('money', () => {
  // ISO 4217: the code in capital letters; marks of thousands and decimals by CLDR
  it.each([
    ['en-GB', 'EUR 1,234.50'],
    ['de-DE', 'EUR 1.234,50'],
  ])('stands with its code, in the numbers of %s', (locale, text) => {
    expect(moneyText(123_450, 'EUR', locale)).toBe(text);
  });

  it('tells more from less', () => {
    expect(differenceText(1_200, 'EUR', 'en-GB')).toBe('EUR +12.00');
    expect(differenceText(-1_200, 'EUR', 'en-GB')).toBe('EUR -12.00');
    expect(differenceText(0, 'EUR', 'en-GB')).toBe('EUR 0.00');
  });

  it.each(['en-GB', 'de-DE', 'fr-FR'])('is typed as it is shown in %s', (locale) => {
    for (const minor of [0, 5, 1_250, 500_000, 99_999_999])
      expect(typedAmount(amountText(minor, locale), locale)).toBe(minor);
    expect(typedAmount('-1', locale)).toBeNull();
    expect(typedAmount('a lot', locale)).toBeNull();
  });
});

describe('how good a plan is', () => {
  it('never promises less than was proven', () => {
    expect(gapWords(2.1966, 'en-GB')).toBe('No plan can be more than 2.2 % cheaper.');
    expect(gapWords(2.21, 'en-GB')).toBe('No plan can be more than 2.3 % cheaper.');
    expect(gapWords(0, 'en-GB')).toBe('No plan can be cheaper: this is the best there is.');
  });

  it('says cheaper, dearer, or neither', () => {
    const outcome = (naive: number): PlanOutcome =>
      ({ currency: 'EUR', plan: { costMinor: 100 }, naive: { costMinor: naive } }) as PlanOutcome;
    expect(savingWords(outcome(300), 'naive', 'en-GB')).toMatch(/^EUR 2\.00 cheaper than/);
    expect(savingWords(outcome(50), 'naive', 'en-GB')).toMatch(/^EUR 0\.50 dearer than/);
    expect(savingWords(outcome(100), 'naive', 'en-GB')).toMatch(/^As dear as/);
  });
});

describe('a strip of days', () => {
  const strip = { fromOn: '2026-12-01', dayCount: 10 };

  it('places what lies in it, cut off at its ends', () => {
    expect(placeInStrip({ fromOn: '2026-12-03', lastOn: '2026-12-03' }, strip)).toEqual({
      start: 0.2,
      length: 0.1,
    });
    expect(placeInStrip({ fromOn: '2026-11-20', lastOn: '2026-12-02' }, strip)).toEqual({
      start: 0,
      length: 0.2,
    });
    expect(placeInStrip({ fromOn: '2026-12-10', lastOn: '2027-01-20' }, strip)).toEqual({
      start: 0.9,
      length: 0.1,
    });
    expect(placeInStrip({ fromOn: '2026-12-11', lastOn: '2026-12-12' }, strip)).toBeNull();
    expect(placeInStrip({ fromOn: '2026-11-20', lastOn: '2026-11-30' }, strip)).toBeNull();
  });

  it('marks its Mondays', () => {
    expect(mondaysOf(strip)).toEqual(['2026-12-07']);
    expect(mondaysOf({ fromOn: '2026-11-30', dayCount: 8 })).toEqual(['2026-11-30', '2026-12-07']);
    expect(mondaysOf({ fromOn: '2026-12-01', dayCount: 3 })).toEqual([]);
  });
});

it('tells what is assumed in words', () => {
  const nameOf = (id: string): string | undefined =>
    ({ w: 'Upper workshop', b: 'Lift', d: 'Upper Tarn' })[id];
  const words = (assumption: Parameters<typeof assumptionWords>[0]): string =>
    assumptionWords(assumption, nameOf, (on) => on);
  expect(words({ kind: 'more-technicians', workshopId: 'w', count: 1, competences: ['brakes'] })).toBe(
    '1 person more at Upper workshop competent in brakes',
  );
  expect(
    words({ kind: 'bay-closed', workshopId: 'w', bayId: 'b', fromOn: '2026-12-01', untilOn: '2026-12-08' }),
  ).toBe('Lift at Upper workshop closed from 2026-12-01, open again 2026-12-08');
  expect(words({ kind: 'roster-need', depotId: 'd', change: -2 })).toBe(
    'Upper Tarn needs 2 vehicles fewer each day',
  );
  expect(words({ kind: 'later-limit', task: 'fluid-change', days: 14 })).toBe(
    'fluid-change may be 14 days later',
  );
  expect(words({ kind: 'roster-need', depotId: 'gone', change: 1 })).toMatch(/^a record that is gone/);
});

it('takes whole numbers within their bounds and nothing else', () => {
  expect(wholeNumber(' 7 ', 7, 366)).toBe(7);
  expect(wholeNumber('-3', -5, 5)).toBe(-3);
  for (const text of ['', '7.5', '6', '367', 'seven', '1e2']) expect(wholeNumber(text, 7, 366)).toBeNull();
});

it('names work once that a visit does several times', () => {
  const items = ['Test the precharge', 'Change the fluid', 'Test the precharge'].map((title) => ({ title }));
  expect(countedTitles(items)).toEqual([
    { title: 'Test the precharge', count: 2 },
    { title: 'Change the fluid', count: 1 },
  ]);
});
