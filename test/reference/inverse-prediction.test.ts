import { probabilityBelowAfter, scaleAfter, yearsUntilBelow } from '../../src/core/precharge/crossing';
import { type DecayPrior, decayPosterior } from '../../src/core/precharge/decay-posterior';
import { inversePrediction } from '../../src/core/precharge/inverse-prediction';
import { InputError } from '../../src/core/shared/input-error';
import { leastSquares } from '../../src/core/shared/statistics-least-squares';
import { studentQuantile } from '../../src/core/shared/statistics-student';

// Graybill and Iyer, Regression Analysis (1994), chapter 6, thermostat calibration; the exact figures were
// computed in R 4.2.2, as roots of predict.lm's limits.
const SET = [96, 98, 100, 102, 104, 106, 108, 110];
const READ = [95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21];

// A stated decay: bar gauge at 20 °C over the years. Least-squares figures and posterior from R 4.2.2.
const YEARS = [0, 0.5, 1, 1.5, 2, 3];
const LOGS = [55.0, 53.9, 53.1, 51.8, 51.0, 49.2].map((bar) => Math.log(bar + 1.01325));
const LOG_40 = Math.log(41.01325);

const CONJUGATE: DecayPrior = {
  lossMean: 0.03,
  lossPrecision: 1 / 16,
  degreesOfFreedom: 4,
  sumOfSquares: 1e-4,
  wanderPerYear: 0,
  level: { mean: Math.log(56.01325), precision: 1 / 16 },
};
const FLAT: DecayPrior = {
  lossMean: 0,
  lossPrecision: 0,
  degreesOfFreedom: 0,
  sumOfSquares: 0,
  wanderPerYear: 0,
  level: null,
};

// NIST/ITL Statistical Reference Datasets, Norris (public domain): x and y, with the certified values below.
const NORRIS = (
  '0.2 0.1 337.4 338.8 118.2 118.1 884.6 888.0 10.1 9.2 226.5 228.1 666.3 668.5 996.3 998.5 448.6 449.1 777.0 ' +
  '778.9 558.2 559.2 0.4 0.3 0.6 0.1 775.5 778.1 666.9 668.8 338.0 339.3 447.5 448.9 11.6 10.8 556.0 557.7 ' +
  '228.1 228.3 995.8 998.0 887.6 888.8 120.2 119.6 0.3 0.3 0.3 0.6 556.8 557.6 339.1 339.3 887.2 888.0 999.0 ' +
  '998.5 779.0 778.9 11.1 10.2 118.3 117.6 229.2 228.9 669.1 668.4 448.9 449.2 0.5 0.2'
)
  .split(' ')
  .map(Number);

describe('where a fitted line reaches a level', () => {
  const thermostat = leastSquares(SET, READ);

  test.each([
    [104, 0.95, 103.994915645944, 103.404051142412, 104.589459384664, 0.00184560609956],
    [100, 0.9, 100.112318003236, 99.6294028953122, 100.588503132254, null],
  ])('one reading of the thermostat at %p with confidence %p', (level, confidence, x, low, high, g) => {
    const answer = inversePrediction(thermostat, SET, level, confidence, 'single-reading');
    expect(answer.x).toBeCloseTo(x, 9);
    expect(answer.low).toBeCloseTo(low, 9);
    expect(answer.high).toBeCloseTo(high, 9);
    if (g !== null) expect(answer.g).toBeCloseTo(g, 12);
  });

  test('as printed in the book', () => {
    const answer = inversePrediction(thermostat, SET, 104, 0.95, 'single-reading');
    expect([answer.x.toFixed(3), answer.low.toFixed(1), answer.high.toFixed(1)]).toEqual([
      '103.995',
      '103.4',
      '104.6',
    ]);
  });

  test.each([
    [
      0.8,
      [8.228443958370683, 8.802313055799385],
      [8.212915209169603, 8.817841805000464],
      0.0015665611225499784,
    ],
    [
      0.9,
      [8.126363781200107, 8.9254595209448],
      [8.104770740938664, 8.947052561206243],
      0.0030287131783174976,
    ],
    [
      0.95,
      [8.019704994866792, 9.062605477213143],
      [7.991580903078852, 9.090729569001084],
      0.005137174891991646,
    ],
  ])('the stated decay at %p, line and reading', (confidence, ofLine, ofReading, g) => {
    const line = leastSquares(YEARS, LOGS);
    const mean = inversePrediction(line, YEARS, LOG_40, confidence, 'mean-line');
    const single = inversePrediction(line, YEARS, LOG_40, confidence, 'single-reading');
    expect(mean.x).toBeCloseTo(8.504127394335436, 9);
    expect(mean.g).toBeCloseTo(g, 12);
    expect([mean.low, mean.high, single.low, single.high]).toEqual(
      [...ofLine, ...ofReading].map((value) => expect.closeTo(value, 9) as number),
    );
  });

  test('a slope that cannot be told from zero is refused, not computed', () => {
    const x = [0, 1, 2, 3, 4, 5];
    const line = leastSquares(x, [3.0, 3.1, 2.9, 3.05, 2.95, 3.0]);
    const ask = () => inversePrediction(line, x, 2.5, 0.95, 'mean-line');
    expect(ask).toThrow(InputError);
    expect(ask).toThrow(/g = 35\.55/);
  });
});

describe('the posterior of a line', () => {
  test('conjugate example: posterior, predictive and crossing quantiles', () => {
    const { posterior, sumOfSquares } = decayPosterior([{ years: YEARS, logs: LOGS }], CONJUGATE)!;
    expect(posterior.loss).toBeCloseTo(0.03651475, 8);
    expect(posterior.degreesOfFreedom).toBe(10);
    expect(sumOfSquares / 2 / 6.175372980100064e-5).toBeCloseTo(1, 9);
    // its mean needs one degree of freedom less than its scale: 6.1753e-5 / (5 - 1)
    expect(sumOfSquares / 2 / 4 / 1.543843245025016e-5).toBeCloseTo(1, 9);
    expect(1 / posterior.lossPrecision).toBeCloseTo(0.16650573972749705, 9);
    const slopeHalf = (studentQuantile(0.975, 10) * posterior.scale) / Math.sqrt(posterior.lossPrecision);
    expect(posterior.loss + slopeHalf).toBeCloseTo(0.03970998791092466, 9);
    expect(posterior.loss - slopeHalf).toBeCloseTo(0.03331950841011075, 9);
    const years = 5 - posterior.lastYear;
    expect(posterior.level - posterior.loss * years).toBeCloseTo(3.842280493942094, 9);
    const ofReading = Math.hypot(scaleAfter(posterior, years), posterior.scale);
    expect(ofReading).toBeCloseTo(0.006499520353649289, 9);
    const half = studentQuantile(0.975, 10) * ofReading;
    expect(Math.exp(3.842280493942094 - half)).toBeCloseTo(45.96125046, 7);
    expect(Math.exp(3.842280493942094 + half)).toBeCloseTo(47.31192263, 7);
    const crossings = [0.025, 0.1, 0.5, 0.9, 0.975].map(
      (share) => posterior.lastYear + yearsUntilBelow(posterior, LOG_40, studentQuantile(share, 10))!,
    );
    // printed to six digits
    expect(crossings.map((year) => year.toFixed(6))).toEqual([
      '7.930937',
      '8.144313',
      '8.515985',
      '8.929577',
      '9.212092',
    ]);
    crossings.forEach((year, i) =>
      expect(probabilityBelowAfter(posterior, LOG_40, year - posterior.lastYear)).toBeCloseTo(
        [0.025, 0.1, 0.5, 0.9, 0.975][i]!,
        12,
      ),
    );
  });

  test.each([0.8, 0.9, 0.95])(
    'flat priors give the crossing of the least-squares line at %p',
    (confidence) => {
      const { posterior } = decayPosterior([{ years: YEARS, logs: LOGS }], FLAT)!;
      const line = leastSquares(YEARS, LOGS);
      const expected = inversePrediction(line, YEARS, LOG_40, confidence, 'mean-line');
      const crossing = (probability: number) =>
        posterior.lastYear + yearsUntilBelow(posterior, LOG_40, studentQuantile(probability, 4))!;
      expect(crossing((1 - confidence) / 2)).toBeCloseTo(expected.low, 9);
      expect(crossing(0.5)).toBeCloseTo(expected.x, 9);
      expect(crossing((1 + confidence) / 2)).toBeCloseTo(expected.high, 9);
    },
  );

  test('flat priors give the certified fit of Norris and its predictions', () => {
    const points = Array.from({ length: 36 }, (_, i) => [NORRIS[2 * i]!, NORRIS[2 * i + 1]!] as const).sort(
      (a, b) => a[0] - b[0],
    );
    const series = { years: points.map(([x]) => x), logs: points.map(([, y]) => y) };
    const { posterior, sumOfSquares } = decayPosterior([series], FLAT)!;
    const close = (value: number, certified: number) =>
      expect(Math.abs(value / certified - 1)).toBeLessThan(1e-10);
    close(-posterior.loss, 1.00211681802045);
    close(posterior.scale / Math.sqrt(posterior.lossPrecision), 0.429796848199937e-3);
    close(posterior.scale, 0.884796396144373);
    close(sumOfSquares, 26.6173985294224);
    expect(posterior.degreesOfFreedom).toBe(34);
    // predictions: not certified, R 4.2.2 predict.lm
    const t = studentQuantile(0.975, 34);
    for (const [x, fit, low, high, lowOfLine, highOfLine] of [
      [0, -0.26232307, -2.12165354, 1.5970074, -0.73546665, 0.2108205],
      [500, 500.79608594, 498.97179405, 502.62037782, 500.48819647, 501.1039754],
      [1000, 1001.85449495, 999.96229216, 1003.74669774, 1001.26526965, 1002.44372024],
    ] as const) {
      const beyond = x - posterior.lastYear;
      const middle = posterior.level - posterior.loss * beyond;
      const ofLine = t * scaleAfter(posterior, beyond);
      const ofReading = Math.hypot(ofLine, t * posterior.scale);
      expect([middle, middle - ofReading, middle + ofReading, middle - ofLine, middle + ofLine]).toEqual(
        [fit, low, high, lowOfLine, highOfLine].map((value) => expect.closeTo(value, 7) as number),
      );
    }
  });

  test('a flat prior and one reading tell nothing', () => {
    expect(decayPosterior([{ years: [0], logs: [4] }], FLAT)).toBeNull();
  });
});
