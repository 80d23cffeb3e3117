import { TaskCompletion } from '../../../src/core/due/due-input';
import { dueItemsOf } from '../../../src/core/due/due-items';
import { failedTestOf, HoldInput, holdOn } from '../../../src/core/due/hold';
import { RuleOptions } from '../../../src/core/due/rule';
import { completion, vehicle } from './due-case';

const RULES: RuleOptions[] = [
  {
    code: 'brakes',
    task: 'brake-check',
    title: 'Check the brakes',
    everyMonths: 12,
    safetyCritical: true,
    tolerance: { lateDays: 5 },
  },
  { code: 'filter', task: 'filter', everyMonths: 1 },
  { code: 'overhaul', task: 'overhaul', everyMonths: 120, satisfies: ['brake-check'] },
];

function holdInput(completions: TaskCompletion[], more: Partial<HoldInput> = {}): HoldInput {
  const input = vehicle(RULES, { inServiceOn: '2025-01-01', completions });
  return {
    items: dueItemsOf(input).map((item) => ({ ...item, failedTest: failedTestOf(item) })),
    findings: [],
    manualHolds: [],
    overrides: [],
    ...more,
  };
}

describe('holdOn', () => {
  test('an overdue safety-critical item holds, from the day after its window; others never do', () => {
    expect(holdOn(holdInput([]), '2026-01-06')).toEqual({ onHold: false, reasons: [] });
    expect(holdOn(holdInput([]), '2026-01-07')).toEqual({
      onHold: true,
      reasons: [
        {
          key: 'overdue:brakes:first',
          kind: 'overdue',
          sentence: 'Check the brakes is overdue since 2026-01-06',
          since: '2026-01-06',
          overriddenBy: null,
        },
      ],
    });
  });

  test('a completed job lifts it', () => {
    expect(holdOn(holdInput([completion('brake-check', '2026-01-07')]), '2026-01-07').onHold).toBe(false);
    expect(holdOn(holdInput([completion('overhaul', '2026-01-07')]), '2026-01-07').onHold).toBe(false);
  });

  test('a failed safety-critical test holds until it was done again', () => {
    const failed = completion('brake-check', '2025-06-01', { outcome: 'failed' });
    const status = (...more: TaskCompletion[]): unknown =>
      holdOn(holdInput([failed, ...more]), '2025-06-10').reasons.map((each) => [each.kind, each.since]);
    expect(status()).toEqual([['failed-test', '2025-06-01']]);
    expect(status(completion('brake-check', '2025-05-31'))).toHaveLength(1);
    expect(status({ ...completion('brake-check', '2025-06-01'), id: 'c-0' })).toHaveLength(1);
    expect(status(completion('brake-check', '2025-06-01'))).toEqual([]);
    expect(status(completion('overhaul', '2025-06-02'))).toEqual([]);
    expect(status(completion('filter', '2025-06-02'))).toHaveLength(1);
    expect(holdOn(holdInput([failed]), '2025-05-31').onHold).toBe(false);
    const other = completion('filter', '2025-06-01', { outcome: 'failed' });
    expect(holdOn(holdInput([other]), '2025-06-10').onHold).toBe(false);
  });

  test('at a position only work there, or on the whole vehicle, mends', () => {
    const failed = completion('brake-check', '2025-06-01', { outcome: 'failed', position: 'rear' });
    const status = (position: string | null): boolean =>
      holdOn(holdInput([failed, completion('brake-check', '2025-06-02', { position })]), '2025-06-10').onHold;
    expect([status('front'), status('rear'), status(null)]).toEqual([true, false, false]);
  });

  test('findings and manual holds', () => {
    const findings = [{ code: 'no-reserve', because: 'nothing feeds the rear brakes', since: null }];
    const manualHolds = [
      {
        id: 'h-1',
        reason: 'fluid on the floor',
        placedBy: 'the workshop manager',
        placedOn: '2025-06-01',
        liftedOn: '2025-06-05',
      },
    ];
    const input = holdInput([], { findings, manualHolds });
    const keysOn = (on: string): string[] => holdOn(input, on).reasons.map((each) => each.key);
    expect(keysOn('2025-05-31')).toEqual(['finding:no-reserve']);
    expect(keysOn('2025-06-01')).toEqual(['finding:no-reserve', 'manual:h-1']);
    expect(keysOn('2025-06-04')).toHaveLength(2);
    expect(keysOn('2025-06-05')).toHaveLength(1);
  });

  test('an override lifts the reasons that it names, on its days, and stays visible', () => {
    const findings = [{ code: 'no-reserve', because: 'nothing feeds the rear brakes', since: null }];
    const override = {
      id: 'o-1',
      byName: 'the workshop manager',
      why: 'to the workshop, empty',
      during: { fromOn: '2026-01-07', untilOn: '2026-01-09' },
      reasonKeys: ['overdue:brakes:first'],
    };
    const alone = holdInput([], { overrides: [override] });
    expect(holdOn(alone, '2026-01-08')).toMatchObject({
      onHold: false,
      reasons: [
        { overriddenBy: { overrideId: 'o-1', byName: 'the workshop manager', untilOn: '2026-01-09' } },
      ],
    });
    expect(holdOn(alone, '2026-01-09').onHold).toBe(true);
    expect(holdOn({ ...alone, findings }, '2026-01-08').onHold).toBe(true);
    // the next time the same item is overdue it is another reason
    const later = holdInput([completion('brake-check', '2026-01-08')], {
      overrides: [{ ...override, during: { fromOn: '2026-01-01', untilOn: '2030-01-01' } }],
    });
    expect(holdOn(later, '2027-02-01').onHold).toBe(true);
  });
});
