import { judgeAntiSinkHold } from '../../../src/core/hydraulics/judge-anti-sink-hold';
import { judgeBrakeReserve } from '../../../src/core/hydraulics/judge-brake-reserve';
import { judgeCutInCutOut } from '../../../src/core/hydraulics/judge-cut-in-cut-out';
import { judgeFindings } from '../../../src/core/hydraulics/judge-findings';
import { judgeLowPressureWarning } from '../../../src/core/hydraulics/judge-low-pressure-warning';
import { judgePressure } from '../../../src/core/hydraulics/judge-pressure';
import { judgeRegulatorCycle } from '../../../src/core/hydraulics/judge-regulator-cycle';
import { judgeSteeringRegulator } from '../../../src/core/hydraulics/judge-steering-regulator';

// Common practice, no published source: cut-in about 140 and cut-out about 170 bar, warning at 80 to 100 bar,
// no charge more often than every 10 s with nothing in use, no warning within 2 full applications.
const REGULATOR = { cutInLowBar: 130, cutInHighBar: 150, cutOutLowBar: 160, cutOutHighBar: 180 };
const WARNING = { warningLowBar: 80, warningHighBar: 100 };
const NO_REGULATOR = { cutInLowBar: null, cutInHighBar: null, cutOutLowBar: null, cutOutHighBar: null };

describe('the outcome', () => {
  it.each([
    [['good'], 'passed'],
    [['good', 'note'], 'passed'],
    [['good', 'unknown'], 'inconclusive'],
    [['good', 'unknown', 'bad'], 'failed'],
    // nothing speaks for it
    [['note'], 'inconclusive'],
    [[], 'inconclusive'],
  ] as const)('of %j is %s', (verdicts, outcome) => {
    const findings = verdicts.map((verdict) => ({ verdict, sentence: `${verdict}.` }));
    expect(judgeFindings(findings)).toEqual({ outcome, reasons: verdicts.map((verdict) => `${verdict}.`) });
  });
});

describe('a pressure', () => {
  const verdictOf = (barGauge: number, isGaugeOverdue = false): string =>
    judgePressure(
      { name: 'Cut-in', barGauge, lowBar: 130, highBar: 150, limitNames: ['cutInLowBar', 'cutInHighBar'] },
      isGaugeOverdue,
    ).verdict;

  it('is good at both ends of its range and bad beyond', () => {
    expect([129.9, 130, 140, 150, 150.1].map((bar) => verdictOf(bar))).toEqual([
      'bad',
      'good',
      'good',
      'good',
      'bad',
    ]);
  });

  it('decides nothing within 3 % of a limit on an overdue gauge', () => {
    // by hand: 3 % of 130 is 3.9, of 150 it is 4.5
    expect([126, 126.1, 133.9, 134, 145.4, 145.5, 154.5, 154.6].map((bar) => verdictOf(bar, true))).toEqual([
      'bad',
      'unknown',
      'unknown',
      'good',
      'good',
      'unknown',
      'unknown',
      'bad',
    ]);
  });

  it('is judged by the one limit there is, and names the one that is missing', () => {
    const limits = { ...REGULATOR, cutInHighBar: null };
    expect(judgeCutInCutOut({ cutInBarGauge: 120, cutOutBarGauge: null }, limits, false)).toEqual([
      { verdict: 'bad', sentence: 'Cut-in was read at 120 bar, below the limit of 130 bar.' },
    ]);
    expect(judgeCutInCutOut({ cutInBarGauge: 140, cutOutBarGauge: null }, limits, false)).toEqual([
      {
        verdict: 'unknown',
        sentence:
          'Cut-in of 140 bar cannot be judged: the service programme sets no cutInHighBar. Add it to the rule of this test.',
      },
    ]);
  });
});

describe('a reading of cut-in and cut-out', () => {
  it('looks at both', () => {
    expect(judgeCutInCutOut({ cutInBarGauge: 141, cutOutBarGauge: 184 }, REGULATOR, false)).toEqual([
      { verdict: 'good', sentence: 'Cut-in was read at 141 bar, within 130 to 150 bar.' },
      { verdict: 'bad', sentence: 'Cut-out was read at 184 bar, above the limit of 180 bar.' },
    ]);
  });

  it('names both limits that are missing', () => {
    const [cutIn, cutOut] = judgeCutInCutOut(
      { cutInBarGauge: 141, cutOutBarGauge: 171 },
      NO_REGULATOR,
      false,
    );
    expect(cutIn?.sentence).toContain('sets no cutInLowBar and cutInHighBar');
    expect(cutOut?.sentence).toContain('sets no cutOutLowBar and cutOutHighBar');
    expect([cutIn?.verdict, cutOut?.verdict]).toEqual(['unknown', 'unknown']);
  });
});

describe('a regulator cycle', () => {
  const cycle = {
    intervalSeconds: 24,
    cutInBarGauge: null,
    cutOutBarGauge: null,
    diagnosis: null,
    gap: null,
  };
  const limits = { ...REGULATOR, shortestCycleSeconds: 10 };

  it.each([
    [9.9, 'failed', 'The pump cuts in every 9.9 s, more often than every 10 s.'],
    [10, 'passed', 'The pump cuts in every 10.0 s, not more often than every 10 s.'],
  ] as const)('of %d s has %s', (intervalSeconds, outcome, sentence) => {
    expect(judgeRegulatorCycle({ ...cycle, intervalSeconds }, limits, false)).toEqual({
      outcome,
      reasons: [sentence],
    });
  });

  it('is inconclusive without the limit', () => {
    const judged = judgeRegulatorCycle(cycle, { ...limits, shortestCycleSeconds: null }, false);
    expect(judged.outcome).toBe('inconclusive');
    expect(judged.reasons[0]).toContain('shortestCycleSeconds');
  });

  it.each([
    ['healthy', 'passed'],
    ['cannot-be-told', 'passed'],
    ['gas-loss', 'failed'],
    ['system-leakage', 'failed'],
    ['both', 'failed'],
  ] as const)('with the diagnosis %s has %s', (verdict, outcome) => {
    const diagnosis = { verdict, reasons: ['Every 24.0 s.', 'The gas.', 'The leak.'] };
    expect(judgeRegulatorCycle({ ...cycle, diagnosis }, limits, false)).toEqual({
      outcome,
      reasons: ['Every 24.0 s.', 'The gas.', 'The leak.'],
    });
  });

  it('is failed by a pressure out of its range, and held up by a gap that counts', () => {
    expect(judgeRegulatorCycle({ ...cycle, cutInBarGauge: 155 }, limits, false).outcome).toBe('failed');
    const note = { verdict: 'note', sentence: 'No unit is on record.' } as const;
    expect(judgeRegulatorCycle({ ...cycle, gap: note }, limits, false)).toEqual({
      outcome: 'passed',
      reasons: [expect.stringContaining('24.0 s'), 'No unit is on record.'],
    });
    const unknown = { verdict: 'unknown', sentence: 'A limit is missing.' } as const;
    expect(judgeRegulatorCycle({ ...cycle, gap: unknown }, limits, false).outcome).toBe('inconclusive');
  });
});

describe('a low-pressure warning', () => {
  it.each([
    [79, 'failed'],
    [80, 'passed'],
    [100, 'passed'],
    [101, 'failed'],
    [null, 'failed'],
  ] as const)('at %s bar has %s', (warningBarGauge, outcome) => {
    expect(judgeLowPressureWarning(warningBarGauge, WARNING, false).outcome).toBe(outcome);
  });

  it('that stays dark fails without any limit', () => {
    const judged = judgeLowPressureWarning(null, { warningLowBar: null, warningHighBar: null }, false);
    expect(judged).toEqual({ outcome: 'failed', reasons: [expect.stringContaining('did not come on')] });
  });

  it('near a limit on an overdue gauge is inconclusive', () => {
    expect(judgeLowPressureWarning(98, WARNING, true).outcome).toBe('inconclusive');
    expect(judgeLowPressureWarning(90, WARNING, true).outcome).toBe('passed');
  });
});

describe('an anti-sink hold', () => {
  const limit = { highestSinkMmPerHour: 2.5 };
  it.each([
    // by hand: 25 mm in 10 h is 2.5 mm/h
    [{ hours: 10, frontLossMm: 25, rearLossMm: 0 }, 'passed'],
    [{ hours: 10, frontLossMm: 25.1, rearLossMm: 0 }, 'failed'],
    [{ hours: 10, frontLossMm: 5, rearLossMm: null }, 'inconclusive'],
    [{ hours: 10, frontLossMm: null, rearLossMm: 40 }, 'failed'],
  ] as const)('%j has %s', (hold, outcome) => {
    expect(judgeAntiSinkHold(hold, limit).outcome).toBe(outcome);
  });

  it('tells rate and limit, and the limit that is missing', () => {
    const hold = { hours: 8, frontLossMm: 6, rearLossMm: 30 };
    expect(judgeAntiSinkHold(hold, limit).reasons).toEqual([
      'The front sank 6 mm in 8 h, 0.75 mm/h, not more than the limit of 2.5 mm/h.',
      'The rear sank 30 mm in 8 h, 3.75 mm/h, more than the limit of 2.5 mm/h.',
    ]);
    const judged = judgeAntiSinkHold(hold, { highestSinkMmPerHour: null });
    expect(judged.outcome).toBe('inconclusive');
    expect(judged.reasons.join()).toContain('highestSinkMmPerHour');
  });
});

describe('a brake reserve', () => {
  const limits = { warningNotWithinApplications: 2, cutInLowBar: 130, cutInHighBar: 150 };
  it.each([
    [0, null, 'failed'],
    [2, null, 'failed'],
    [3, null, 'passed'],
    [3, 150, 'passed'],
    // started from cut-out: the count flatters
    [3, 170, 'inconclusive'],
    [2, 170, 'failed'],
    // started with less than the pump always leaves
    [2, 110, 'inconclusive'],
    [3, 110, 'passed'],
  ] as const)('of %d applications from %s bar has %s', (applicationsUntilWarning, startBarGauge, outcome) => {
    expect(judgeBrakeReserve({ applicationsUntilWarning, startBarGauge }, limits, false).outcome).toBe(
      outcome,
    );
  });

  it('started near the end of cut-in proves nothing on an overdue gauge', () => {
    // by hand: 3 % of 150 is 4.5, of 130 it is 3.9
    const outcomeOf = (applicationsUntilWarning: number, startBarGauge: number): string =>
      judgeBrakeReserve({ applicationsUntilWarning, startBarGauge }, limits, true).outcome;
    expect([outcomeOf(3, 145), outcomeOf(3, 146), outcomeOf(2, 133), outcomeOf(2, 134)]).toEqual([
      'passed',
      'inconclusive',
      'inconclusive',
      'failed',
    ]);
  });

  it('cannot be judged without its limit', () => {
    const judged = judgeBrakeReserve(
      { applicationsUntilWarning: 9, startBarGauge: 140 },
      { warningNotWithinApplications: null, cutInLowBar: null, cutInHighBar: null },
      false,
    );
    expect(judged.outcome).toBe('inconclusive');
    expect(judged.reasons.join()).toContain('warningNotWithinApplications');
  });
});

it('takes a check of the steering regulator as stated', () => {
  expect(judgeSteeringRegulator('passed').outcome).toBe('passed');
  expect(judgeSteeringRegulator('failed')).toEqual({
    outcome: 'failed',
    reasons: [expect.stringContaining("the maker's workshop manual rules")],
  });
});
