import { DuePoint, FallsDue } from '../../../src/core/demand/demand-item';
import { dueCurve } from '../../../src/core/demand/due-curve';
import { addDays, toEpochDay } from '../../../src/core/shared/calendar-date';
import { InputError } from '../../../src/core/shared/input-error';
import { normalCdf } from '../../../src/core/shared/statistics-normal';

const quantiles = (
  earliestOn: string | null,
  medianOn: string | null,
  latestOn: string | null,
  horizonOn: string | null = null,
): FallsDue => ({ kind: 'quantiles', earliestOn, medianOn, latestOn, horizonOn });
const probabilityBy = (fallsDue: FallsDue, on: string) => dueCurve(fallsDue, 'fallsDue')(toEpochDay(on));

test('a fixed date is a step at that day', () => {
  const fixed: FallsDue = { kind: 'fixed', on: '2027-03-10' };
  expect(probabilityBy(fixed, '2027-03-09')).toBe(0);
  expect(probabilityBy(fixed, '2027-03-10')).toBe(1);
});

describe('10, 50 and 90 % days', () => {
  const skewed = quantiles('2027-03-01', '2027-04-10', '2027-08-08');

  test('are hit', () => {
    expect(probabilityBy(skewed, '2027-03-01')).toBeCloseTo(0.1, 12);
    expect(probabilityBy(skewed, '2027-04-10')).toBeCloseTo(0.5, 12);
    expect(probabilityBy(skewed, '2027-08-08')).toBeCloseTo(0.9, 12);
  });

  test('equal distances on both sides: the normal distribution, from one end to the other', () => {
    const normal = quantiles('2027-01-01', '2027-04-11', '2027-07-20');
    const sdDays = 100 / 1.2815515655446004;
    for (const days of [-250, -100, -33, 0, 50, 100, 300]) {
      expect(probabilityBy(normal, addDays('2027-04-11', days))).toBeCloseTo(normalCdf(days / sdDays), 12);
    }
  });

  test('the same day twice: the probability jumps', () => {
    const suddenStart = quantiles('2027-04-10', '2027-04-10', '2027-08-08');
    expect(probabilityBy(suddenStart, '2027-04-09')).toBe(0);
    expect(probabilityBy(suddenStart, '2027-04-10')).toBe(0.5);
    const suddenEnd = quantiles('2027-03-01', '2027-04-10', '2027-04-10');
    expect(probabilityBy(suddenEnd, '2027-04-09')).toBeLessThan(0.5);
    expect(probabilityBy(suddenEnd, '2027-04-10')).toBe(1);
  });

  test('beyond the forecast', () => {
    const noLatest = quantiles('2027-03-01', '2027-04-10', null, '2027-04-30');
    expect(probabilityBy(noLatest, addDays('2027-04-10', 40))).toBeCloseTo(0.9, 12);
    const longForecast = quantiles('2027-03-01', '2027-04-10', null, '2029-04-30');
    expect(probabilityBy(longForecast, '2029-04-30')).toBeCloseTo(0.9, 12);
    const noMedian = quantiles('2027-03-01', null, null, '2027-12-01');
    expect(probabilityBy(noMedian, '2027-12-01')).toBeCloseTo(0.5, 12);
    expect(probabilityBy(quantiles(null, null, null, '2027-12-01'), '2040-01-01')).toBe(0);
  });
});

describe('a curve', () => {
  const points: DuePoint[] = [
    { on: '2027-01-11', probability: 0.2 },
    { on: '2027-01-21', probability: 0.4 },
    { on: '2027-02-10', probability: 0.8 },
  ];
  const curve: FallsDue = { kind: 'curve', points };

  test.each([
    ['2027-01-10', 0],
    ['2027-01-11', 0.2],
    ['2027-01-16', 0.3],
    ['2027-01-21', 0.4],
    ['2027-01-31', 0.6],
    ['2027-02-10', 0.8],
    ['2030-01-01', 0.8],
  ])('%s: %d', (on, expected) => expect(probabilityBy(curve, on)).toBeCloseTo(expected, 12));
});

test.each<[string, FallsDue, string]>([
  ['a day that does not exist', { kind: 'fixed', on: '2027-02-29' }, 'fallsDue.on'],
  ['quantiles out of order', quantiles('2027-05-01', '2027-04-10', '2027-08-08'), 'fallsDue'],
  ['a later day without the earlier one', quantiles(null, '2027-04-10', '2027-08-08'), 'fallsDue'],
  ['no end of the forecast', quantiles('2027-03-01', '2027-04-10', null), 'fallsDue.horizonOn'],
  ['a curve without points', { kind: 'curve', points: [] }, 'fallsDue.points'],
  [
    'a probability that falls',
    {
      kind: 'curve',
      points: [
        { on: '2027-01-01', probability: 0.5 },
        { on: '2027-01-02', probability: 0.4 },
      ],
    },
    'fallsDue.points[1].probability',
  ],
  [
    'a probability above 1',
    { kind: 'curve', points: [{ on: '2027-01-01', probability: 1.1 }] },
    'fallsDue.points[0].probability',
  ],
  [
    'a day twice',
    {
      kind: 'curve',
      points: [
        { on: '2027-01-01', probability: 0.5 },
        { on: '2027-01-01', probability: 0.6 },
      ],
    },
    'fallsDue.points[1].on',
  ],
])('refuses %s', (_, fallsDue, field) => {
  expect(() => dueCurve(fallsDue, 'fallsDue')).toThrow(InputError);
  expect(() => dueCurve(fallsDue, 'fallsDue')).toThrow(expect.objectContaining({ field }) as Error);
});
