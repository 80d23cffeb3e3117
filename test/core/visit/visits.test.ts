import fc from 'fast-check';
import { addDays } from '../../../src/core/shared/calendar-date';
import { fewestVisits, type VisitWindow } from '../../../src/core/visit/fewest-visits';
import { jobOf, sumConsumables } from '../../../src/core/visit/job-of';
import { visitSuggestions, type SuggestedItem } from '../../../src/core/visit/visit-suggestions';

const FIRST = '2026-12-01';
const anyWindow = fc.record({ from: fc.nat(9), length: fc.nat(4) }).map(({ from, length }): VisitWindow => ({
  fromOn: addDays(FIRST, from),
  lastOn: addDays(FIRST, from + length),
}));

// every set of days, the smallest first
function fewestByTrying(windows: readonly VisitWindow[]): number {
  const days = Array.from({ length: 14 }, (_, day) => addDays(FIRST, day));
  let fewest = Infinity;
  for (let set = 0; set < 2 ** days.length; set++) {
    const visited = days.filter((_, day) => (set >> day) & 1);
    if (visited.length >= fewest) continue;
    if (windows.every(({ fromOn, lastOn }) => visited.some((day) => fromOn <= day && day <= lastOn)))
      fewest = visited.length;
  }
  return fewest;
}

describe('the fewest visits', () => {
  test('are what trying every set of days finds', () => {
    fc.assert(
      fc.property(fc.array(anyWindow, { maxLength: 6 }), (windows) => {
        expect(fewestVisits(windows)).toBe(fewestByTrying(windows));
      }),
      { numRuns: 60 },
    );
  });

  test('are no fewer with one window more, and at most one more', () => {
    fc.assert(
      fc.property(fc.array(anyWindow, { maxLength: 8 }), anyWindow, (windows, more) => {
        const [before, after] = [fewestVisits(windows), fewestVisits([...windows, more])];
        expect([before, before + 1]).toContain(after);
      }),
    );
  });
});

const item = (key: string, dueOn: string | null, more: Partial<SuggestedItem> = {}): SuggestedItem => ({
  key,
  task: key,
  title: key,
  position: null,
  earlyOn: dueOn,
  dueOn,
  lateOn: dueOn,
  beyondHorizon: false,
  missing: [],
  doBefore: [],
  satisfies: [],
  baselineOn: '2025-12-01',
  ...more,
});

describe('suggestions', () => {
  test('weigh what is given away against the visits that are saved', () => {
    const items = [
      item('chosen', '2026-12-01', { satisfies: ['comes-along'] }),
      item('comes-along', '2026-12-20'),
      item('overdue', '2026-11-01'),
      item('soon', '2027-01-10'),
      // the two of the same week need one visit, so one of them alone saves none
      item('spring', '2027-04-01'),
      item('spring-too', '2027-04-01'),
      item('far', '2028-01-01'),
      item('never', null, { beyondHorizon: true }),
      item('unknown', null),
    ];
    const shown = visitSuggestions(items, ['chosen'], '2026-12-01').map((each) => [
      each.key,
      each.daysGivenAway,
      each.visitsSaved,
      each.worthwhile,
    ]);
    expect(shown).toEqual([
      ['overdue', 0, 1, true],
      ['soon', 40, 1, true],
      ['spring', 121, 0, false],
      ['spring-too', 121, 0, false],
      ['unknown', null, 0, false],
    ]);
  });

  test('leave out what a chosen item settles where it is done, and nothing elsewhere', () => {
    const left = 'suspension-front-left';
    const right = 'suspension-front-right';
    const test = (position: string | null): SuggestedItem =>
      item(`test@${position ?? 'vehicle'}`, '2026-12-20', { task: 'precharge-test', position });
    const recharge = item('recharge', '2026-12-01', { position: left, satisfies: ['precharge-test'] });
    const items = [recharge, test(left), test(right), test(null)];
    const suggested = (chosen: string): string[] =>
      visitSuggestions(items, [chosen], '2026-12-01').map(({ key }) => key);
    expect(suggested('recharge').sort()).toEqual(['test@suspension-front-right', 'test@vehicle']);
    // the task on the whole vehicle is the task at every position
    expect(suggested('test@vehicle')).toEqual(['recharge']);
  });

  test('count what comes along as done: the visit that only it would need is saved too', () => {
    const items = [
      item('fluid', '2027-01-10', { satisfies: ['filter'] }),
      item('filter', '2027-02-10'),
      item('far', '2028-02-10'),
    ];
    const saved = visitSuggestions(items, [], '2026-12-01').map(({ key, visitsSaved }) => [key, visitsSaved]);
    expect(saved).toEqual([
      ['fluid', 2],
      ['filter', 1],
    ]);
  });

  test('go with what has to be done before them, and cost what that costs', () => {
    const reserve = item('reserve', '2026-12-20', { doBefore: ['warning'] });
    const warning = item('warning', '2026-12-20', { title: 'Test the warning' });
    const of = (items: SuggestedItem[], chosen: string[]) =>
      visitSuggestions(items, chosen, '2026-12-01').find(({ key }) => key === 'reserve');
    // one visit for both: only together do they save it
    expect(of([reserve, warning], [])).toMatchObject({
      visitsSaved: 1,
      worthwhile: true,
      sentence:
        'Due 2026-12-20, 19 days after this visit: gives away 19 of 384 days (5 %), saves 1 visit. With what comes before it: Test the warning.',
    });
    expect(visitSuggestions([reserve, warning], [], '2026-12-01').at(-1)).toMatchObject({
      key: 'warning',
      visitsSaved: 0,
      worthwhile: false,
    });
    expect(of([reserve, warning], ['warning'])?.sentence).not.toContain('before it');
    const dear = item('warning', '2026-12-20', { baselineOn: '2026-12-01' });
    expect(of([reserve, dear], [])).toMatchObject({ visitsSaved: 1, worthwhile: false });
    // a circle ends
    const circle = [reserve, item('warning', '2026-12-20', { doBefore: ['reserve'] })];
    expect(visitSuggestions(circle, [], '2026-12-01').map(({ visitsSaved }) => visitsSaved)).toEqual([1, 1]);
  });

  test('tell what has to be looked at where there is no date', () => {
    const missing = [{ code: 'unit', sentence: 'Record which gas unit is fitted at main-accumulator.' }];
    expect(visitSuggestions([item('a', null, { missing })], [], '2026-12-01')).toEqual([
      {
        key: 'a',
        daysGivenAway: null,
        shareGivenAway: null,
        visitsSaved: 0,
        worthwhile: false,
        sentence: 'Nobody can tell yet when it is due. Record which gas unit is fitted at main-accumulator.',
      },
    ]);
  });

  test('say it in a sentence, to be redone on paper', () => {
    const sentence = (each: SuggestedItem): string | undefined =>
      visitSuggestions([each], [], '2026-12-01')[0]?.sentence;
    expect(sentence(item('a', '2027-01-10'))).toBe(
      'Due 2027-01-10, 40 days after this visit: gives away 40 of 405 days (10 %), saves 1 visit.',
    );
    expect(sentence(item('a', '2026-11-01'))).toBe(
      'Due 2026-11-01, by this visit: gives away nothing, saves 1 visit.',
    );
    expect(sentence(item('a', '2026-12-02', { baselineOn: null }))).toBe(
      'Due 2026-12-02, 1 day after this visit: gives away 1 day, saves 1 visit.',
    );
  });

  test('never hold what was chosen, and what is due by then gives nothing away', () => {
    const anyItem = fc
      .record({ day: fc.integer({ min: -60, max: 300 }), early: fc.nat(40), late: fc.nat(40) })
      .map(({ day, early, late }) => {
        const dueOn = addDays(FIRST, day);
        return { dueOn, earlyOn: addDays(dueOn, -early), lateOn: addDays(dueOn, late) };
      });
    fc.assert(
      fc.property(fc.array(anyItem, { maxLength: 8 }), fc.nat(8), (dates, count) => {
        const items = dates.map((each, index) => item(`i${index}`, each.dueOn, each));
        const chosen = items.slice(0, count).map(({ key }) => key);
        for (const each of visitSuggestions(items, chosen, FIRST)) {
          expect(chosen).not.toContain(each.key);
          const { dueOn } = items.find(({ key }) => key === each.key)!;
          expect(each.daysGivenAway === 0).toBe(dueOn! <= FIRST);
          expect([0, 1]).toContain(each.visitsSaved);
        }
      }),
    );
  });
});

test('a job is the sum of its work, for one bay and as few sets of competences as say it all', () => {
  const work = [
    { minutes: 90, competences: ['hydraulics'], bayKind: 'lift' },
    { minutes: 25, competences: ['pressure-equipment', 'hydraulics'], bayKind: 'flat' },
    { minutes: 15, competences: ['brakes'], bayKind: null },
    { minutes: 5, competences: [], bayKind: 'lift' },
  ];
  expect(jobOf(work)).toEqual({
    minutes: 135,
    bayKinds: ['flat', 'lift'],
    needed: [{ competences: ['hydraulics', 'pressure-equipment'] }, { competences: ['brakes'] }],
    separatePeople: false,
    minutesBefore: null,
    minutesAfter: null,
  });
  expect(jobOf(work, 60).minutes).toBe(60);
});

test('consumables are summed by item and unit, in whatever order the work comes', () => {
  const used = [
    { item: 'seal', quantity: 1, unit: 'set' },
    { item: 'fluid', quantity: 0.1, unit: 'l' },
    { item: 'seal', quantity: 2, unit: 'piece' },
    { item: 'fluid', quantity: 0.2, unit: 'l' },
    { item: 'seal', quantity: 1, unit: 'piece' },
  ];
  const sums = [
    { item: 'fluid', quantity: 0.3, unit: 'l' },
    { item: 'seal', quantity: 3, unit: 'piece' },
    { item: 'seal', quantity: 1, unit: 'set' },
  ];
  expect(sumConsumables(used)).toEqual(sums);
  expect(sumConsumables([...used].reverse())).toEqual(sums);
});
