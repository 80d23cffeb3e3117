import fc from 'fast-check';
import { toEpochDay } from '../../../src/core/shared/calendar-date';
import type { ReadingUnit } from '../../../src/core/usage/meter-track';
import {
  type EnteredReading,
  judgeReading,
  type PlausibilityContext,
} from '../../../src/core/usage/plausibility';
import { likelyCorrections } from '../../../src/core/usage/reading-mistakes';
import { estimateUsage, forecastUsage } from '../../../src/core/usage/usage-estimate';
import { defaultUsageModel } from '../../../src/core/usage/usage-model';

const DAY = 86_400_000;
const START = toEpochDay('2026-01-05');

function entered(day: number, value: number, unit: ReadingUnit = 'km', hour = 12): EnteredReading {
  return { value, unit, at: (START + day) * DAY + hour * 3_600_000, day: START + day };
}

// 80 km a day from 91,000 km, read every 20 days until day 100 (99,000 km)
const ACCEPTED = [0, 20, 40, 60, 80, 100].map((day) => entered(day, 91_000 + 80 * day));
const MODEL = defaultUsageModel('km');
const FORECAST = forecastUsage(
  estimateUsage({ track: ACCEPTED.map(({ day, value }) => ({ day, total: value })) }, MODEL),
  MODEL,
);
const CONTEXT: PlausibilityContext = {
  now: (START + 130) * DAY,
  accepted: ACCEPTED,
  dailyMaximum: 900,
  forecast: FORECAST,
};
const judge = (reading: EnteredReading, context: Partial<PlausibilityContext> = {}) =>
  judgeReading(reading, { ...CONTEXT, ...context });

// The kinds of slip are common practice, no published source.
describe('accepted', () => {
  test.each([
    ['as expected', entered(120, 100_600)],
    ['one kilometre less, for rounding', entered(101, 98_999)],
    ['in between', entered(50, 95_000)],
    ['a long day', entered(101, 99_900)],
    ['in miles on an instrument that is read in kilometres', entered(120, 62_500, 'mi')],
    ['minutes ahead of the clock', { ...entered(120, 100_600), at: CONTEXT.now + 14 * 60_000 }],
  ])('%s', (_, reading) => {
    expect(judge(reading)).toEqual({
      verdict: 'accepted',
      suspicions: [],
      sentences: [],
      explanation: '',
      suggested: null,
    });
  });

  test('the first reading of all', () => {
    expect(judge(entered(3, 45_000), { accepted: [], forecast: null }).verdict).toBe('accepted');
  });

  test.each([
    ['much more', 108_111],
    ['far less', 99_000],
  ])('%s use than before is remarked on, not stopped', (_, value) => {
    const judged = judge(entered(120, value));
    expect(judged.verdict).toBe('accepted');
    expect(judged.suspicions).toEqual(['unlike-usage']);
    expect(judged.explanation).toMatch(
      /^By its use so far the instrument should show 99,\d{3}\.?\d? km to 10\d,\d{3}/,
    );
  });
});

describe('quarantined', () => {
  test.each([
    ['below the previous', entered(120, 98_500), ['below-previous', 'unlike-usage'], null],
    ['above the next', entered(50, 97_000), ['above-next'], null],
    ['too far in the time', entered(110, 125_000), ['above-daily-maximum', 'unlike-usage'], null],
    [
      'miles given as kilometres',
      entered(120, 62_510),
      ['below-previous', 'unlike-usage', 'likely-unit-mix-up'],
      [62_510, 'mi'],
    ],
    [
      'kilometres given as miles',
      entered(120, 100_600, 'mi'),
      ['above-daily-maximum', 'unlike-usage', 'likely-unit-mix-up'],
      [100_600, 'km'],
    ],
    [
      'a digit typed twice',
      entered(120, 1_006_060),
      ['above-daily-maximum', 'unlike-usage', 'likely-extra-digit'],
      null,
    ],
    [
      'a digit typed twice, and no other way to read it',
      entered(66, 962_280),
      ['above-daily-maximum', 'above-next', 'likely-extra-digit'],
      [96_280, 'km'],
    ],
    [
      'a new instrument',
      entered(120, 55),
      ['below-previous', 'unlike-usage', 'likely-instrument-replaced'],
      null,
    ],
  ] as const)('%s', (_, reading, suspicions, suggested) => {
    const judged = judge(reading);
    expect(judged.verdict).toBe('quarantined');
    expect(judged.suspicions).toEqual(suspicions);
    expect(judged.suggested).toEqual(suggested && { value: suggested[0], unit: suggested[1] });
    expect(judged.explanation).not.toBe('');
  });

  test('a digit left out: which one cannot be told, so nothing is suggested', () => {
    const judged = judge(entered(120, 10_060));
    expect(judged.suspicions).toContain('likely-missing-digit');
    expect(judged.suggested).toBeNull();
  });

  test('two digits swapped', () => {
    // 96,280 on day 66 typed as 69,280; without a forecast, between the readings of days 60 and 80
    const judged = judge(entered(66, 69_280));
    expect(judged.suspicions).toEqual([
      'below-previous',
      'next-above-daily-maximum',
      'likely-transposed-digits',
    ]);
    expect(judged.suggested).toEqual({ value: 96_280, unit: 'km' });
    expect(judged.explanation).toBe(
      '69,280 km is below the accepted 95,800 km of 2026-03-06. ' +
        'From 69,280 km (2026-03-12) to 97,400 km (2026-03-26) is 28,120 km in 14 days; ' +
        'at most 900 km a day is taken as possible. Two digits may be swapped: 96,280 km would fit.',
    );
  });

  test('from the future, whatever it shows', () => {
    const judged = judge(entered(131, 101_000));
    expect([judged.verdict, judged.suspicions, judged.suggested]).toEqual([
      'quarantined',
      ['future-instant'],
      null,
    ]);
    expect(judged.explanation).toBe('The reading is dated 2026-05-16, which is still to come.');
  });

  test('miles for kilometres after a long gap, where only the forecast can tell', () => {
    // 100 days at 80 km: 107,000 km is 66,487 mi; 66,487 mi given as km would be below, 107,000 given as mi is 172,200 km
    const judged = judge(entered(200, 107_000, 'mi'), { now: (START + 201) * DAY });
    expect(judged.suspicions).toEqual(['unlike-usage', 'likely-unit-mix-up']);
    expect(judged.verdict).toBe('quarantined');
    expect(judged.suggested).toEqual({ value: 107_000, unit: 'km' });
  });

  test('engine hours: no more than there are in a day', () => {
    const accepted = [entered(0, 5_000, 'h'), entered(10, 5_060, 'h')];
    const context = { accepted, forecast: null, dailyMaximum: 24 };
    expect(judge(entered(11, 5_084, 'h'), context).verdict).toBe('accepted');
    expect(judge(entered(11, 5_087, 'h'), context).suspicions[0]).toBe('above-daily-maximum');
    expect(judge(entered(11, 5_087, 'h'), context).suspicions).not.toContain('likely-unit-mix-up');
  });
});

test('a replaced instrument: the forecast is of totals, the reading of the new instrument', () => {
  // old final 99,000 km on day 100, new instrument from 12 km
  const context = { accepted: [entered(100, 12)], instrumentOffset: 98_988 };
  expect(judge(entered(120, 1_612), context)).toMatchObject({ verdict: 'accepted', suspicions: [] });
});

test('what is no reading is refused', () => {
  expect(() => judge(entered(120, -1))).toThrow('not a meter value');
  expect(() => judge(entered(120, Infinity))).toThrow('not a meter value');
  expect(() => judge(entered(120, 50, 'h'))).toThrow('mixed');
});

describe('laws', () => {
  const series = fc
    .array(
      fc.record({
        hours: fc.integer({ min: 1, max: 2_000 }),
        share: fc.double({ min: 0, max: 1, noNaN: true }),
      }),
      {
        minLength: 1,
        maxLength: 30,
      },
    )
    .map((steps) => {
      let [hours, total] = [0, 12_345];
      return steps.map((step) => {
        hours += step.hours;
        total += Math.floor((step.share * 900 * step.hours) / 24);
        return {
          value: total,
          unit: 'km' as const,
          at: START * DAY + hours * 3_600_000,
          day: START + Math.floor(hours / 24),
        };
      });
    });
  const context = { now: (START + 100_000) * DAY, dailyMaximum: 900, forecast: null };

  test('no reading of a clean series is ever quarantined, in whatever order they come', () => {
    fc.assert(
      fc.property(series, fc.infiniteStream(fc.nat()), (readings, stream) => {
        const order = readings
          .map((reading) => [stream.next().value as number, reading] as const)
          .sort(([a], [b]) => a - b)
          .map(([, reading]) => reading);
        const accepted: EnteredReading[] = [];
        for (const reading of order) {
          expect(judgeReading(reading, { ...context, accepted }).verdict).toBe('accepted');
          accepted.push(reading);
        }
      }),
    );
  });

  test('the order of the accepted readings changes nothing', () => {
    fc.assert(
      fc.property(series, fc.nat({ max: 60_000 }), fc.nat({ max: 40_000 }), (accepted, hours, value) => {
        const reading = {
          value,
          unit: 'km' as const,
          at: START * DAY + hours * 3_600_000,
          day: START + Math.floor(hours / 24),
        };
        expect(judgeReading(reading, { ...context, accepted: [...accepted].reverse() })).toEqual(
          judgeReading(reading, { ...context, accepted }),
        );
      }),
    );
  });

  test('every slip is among the corrections of what it produced', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1_000, max: 999_999 }),
        fc.nat(),
        fc.nat({ max: 9 }),
        (value, place, digit) => {
          const text = String(value);
          const i = place % text.length;
          const slips = [
            text.slice(0, i) + String(digit) + text.slice(i),
            text.slice(0, i) + text.slice(i + 1),
            text.slice(0, i) +
              text
                .slice(i, i + 2)
                .split('')
                .reverse()
                .join('') +
              text.slice(i + 2),
          ];
          for (const slip of slips) {
            if (slip === text || slip.startsWith('0')) continue;
            expect(likelyCorrections(Number(slip), 'km').map((one) => one.value)).toContain(value);
          }
        },
      ),
    );
  });
});
