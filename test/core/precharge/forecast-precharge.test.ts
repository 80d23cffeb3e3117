import { estimateOn, probabilityBelow } from '../../../src/core/precharge/fit-precharge';
import { forecastPrecharge, type PrechargeOutlook } from '../../../src/core/precharge/forecast-precharge';
import { outlookBand } from '../../../src/core/precharge/outlook-band';
import {
  defaultPrechargeModel,
  type PrechargeObservation,
} from '../../../src/core/precharge/precharge-model';
import { simulateUnits } from './simulated-units';

const MODEL = defaultPrechargeModel();
const DAY = 20_000;
const UNITS = simulateUnits(
  {
    meanLoss: 0.045,
    lossSd: 0.02,
    readingSd: 0.01,
    readingSpread: 0,
    wanderSd: 0.007,
    tests: 6,
    rechargeEvery: 4,
  },
  60,
  7,
  0,
);

function charge(day: number, bar: number): PrechargeObservation {
  return { id: `c${day}`, day, kind: 'charge', precharge20BarGauge: bar };
}

function tested(day: number, bar: number): PrechargeObservation {
  return { id: `t${day}`, day, kind: 'precharge-test', precharge20BarGauge: bar };
}

function outlook(observations: readonly PrechargeObservation[], limit = 44): PrechargeOutlook {
  return forecastPrecharge(observations, MODEL, { limit20BarGauge: limit })!;
}

function medianOf(observations: readonly PrechargeObservation[], limit = 44): number {
  return outlook(observations, limit).medianOn ?? Infinity;
}

test('neither charge nor test: no forecast', () => {
  expect(forecastPrecharge([], MODEL, { limit20BarGauge: 44 })).toBeNull();
});

test('a charge alone is forecast from the type: 80 % of the absolute pressure after five years', () => {
  const answer = outlook([charge(DAY, 55)], 0.8 * 56.01325 - 1.01325);
  // common practice, no published source: recharge at 80 % or after 60 months
  expect(Math.abs(answer.medianOn! - DAY - 5 * 365.25)).toBeLessThan(20);
  expect(answer.earliestOn).toBeGreaterThan(DAY);
  expect(answer.earliestOn).toBeLessThan(answer.medianOn!);
  expect(answer.lossPerYear.share).toBeCloseTo(1 - Math.exp(-0.045), 12);
  expect(answer.used).toEqual([`c${DAY}`]);
});

test('the days are those on which the probability is reached, and the curve never falls', () => {
  for (const { observations } of UNITS.slice(0, 15)) {
    const answer = outlook(observations);
    const first = answer.belowLimit[0]!;
    expect(first.day).toBe(answer.knownUntil);
    expect(first.probability).toBeCloseTo(probabilityBelow(answer.fit, 44, answer.knownUntil), 12);
    answer.belowLimit.forEach((point, i) => {
      const before = answer.belowLimit[i - 1];
      if (!before) return;
      expect(point.day).toBeGreaterThanOrEqual(before.day);
      expect(point.probability).toBeGreaterThanOrEqual(before.probability);
      if (point.day > answer.knownUntil)
        expect(probabilityBelow(answer.fit, 44, point.day)).toBeCloseTo(point.probability, 9);
    });
    for (const [on, probability] of [
      [answer.earliestOn, 0.1],
      [answer.medianOn, 0.5],
      [answer.latestOn, 0.9],
    ] as const) {
      if (on === null || on === answer.knownUntil) continue;
      expect(probabilityBelow(answer.fit, 44, on)).toBeGreaterThanOrEqual(probability - 1e-9);
      expect(probabilityBelow(answer.fit, 44, on - 1)).toBeLessThan(probability);
    }
  }
});

test('straight lines of the curve miss by less than half a day beside 0.1, 0.5 and 0.9', () => {
  const answer = outlook([charge(DAY, 55), tested(DAY + 400, 52.4), tested(DAY + 800, 50.1)]);
  const dayAt = (probability: number) =>
    answer.belowLimit.find((point) => point.probability === probability)!.day;
  let beside = 0;
  for (let i = 2; i < answer.belowLimit.length - 1; i++) {
    const [from, to] = [answer.belowLimit[i - 1]!, answer.belowLimit[i]!];
    const middle = (from.day + to.day) / 2;
    const isBeside = [0.1, 0.5, 0.9].some((each) => Math.abs(middle - dayAt(each)) <= to.day - from.day);
    if (!isBeside) continue;
    beside++;
    const slope = (to.probability - from.probability) / (to.day - from.day);
    const miss = probabilityBelow(answer.fit, 44, middle) - (from.probability + to.probability) / 2;
    expect(Math.abs(miss / slope)).toBeLessThan(0.5);
  }
  expect(beside).toBe(6);
});

test('a lower limit is never crossed earlier', () => {
  for (const { observations } of UNITS) {
    const days = [48, 46, 44, 42, 40].map((limit) => outlook(observations, limit));
    days.slice(1).forEach((lower, i) => {
      for (const key of ['earliestOn', 'medianOn', 'latestOn'] as const)
        expect(lower[key] ?? Infinity).toBeGreaterThanOrEqual(days[i]![key] ?? Infinity);
    });
  }
});

test('a charge moves the day later, a lower test earlier', () => {
  for (const { observations, lastDay } of UNITS) {
    const before = medianOf(observations);
    // a unit that may not lose gas at all is due never, and stays so
    if (before < Infinity)
      expect(medianOf([...observations, charge(lastDay + 10, 55)])).toBeGreaterThan(before);
  }
  const record = [charge(DAY, 55), tested(DAY + 365, 53)];
  expect(medianOf([...record, tested(DAY + 730, 50)])).toBeLessThan(
    medianOf([...record, tested(DAY + 730, 51)]),
  );
});

test('a recharge keeps what is known of the loss', () => {
  const fast = [charge(DAY, 55), tested(DAY + 365, 50.5), tested(DAY + 730, 46.6), charge(DAY + 731, 55)];
  const slow = [charge(DAY, 55), tested(DAY + 365, 54), tested(DAY + 730, 53), charge(DAY + 731, 55)];
  expect(medianOf(fast)).toBeLessThan(medianOf([charge(DAY + 731, 55)]));
  expect(medianOf(slow)).toBeGreaterThan(medianOf([charge(DAY + 731, 55)]));
});

test('ids and the order of days change nothing; shifting all days shifts the answer', () => {
  for (const { observations } of UNITS.slice(0, 20)) {
    const answer = outlook(observations);
    const backwards = outlook([...observations].reverse().map((each, i) => ({ ...each, id: `x${i}` })));
    expect(backwards.belowLimit).toEqual(answer.belowLimit);
    const shifted = outlook(observations.map((each) => ({ ...each, day: each.day + 777 })));
    expect(shifted.medianOn).toBe(answer.medianOn === null ? null : answer.medianOn + 777);
  }
});

test('a test before the charge of the same day belongs to the old charge', () => {
  const answer = outlook([
    charge(DAY, 55),
    { ...tested(DAY + 730, 50), id: 'before' },
    { ...charge(DAY + 730, 55), id: 'after' },
  ]);
  expect(answer.leftOut).toEqual([]);
  expect(answer.lastMeasured.id).toBe('after');
  expect(estimateOn(answer.fit, DAY + 730).medianBarGauge).toBeCloseTo(55, 6);
});

test('below already: the last day known', () => {
  const answer = outlook([charge(DAY, 55), tested(DAY + 900, 41)]);
  expect([answer.earliestOn, answer.medianOn, answer.latestOn]).toEqual([DAY + 900, DAY + 900, DAY + 900]);
});

test('a loss that cannot be told from zero has no latest day, and says so', () => {
  const model = { ...MODEL, logLossPerYear: { mean: 0, sd: 10 } };
  const flat = [55, 55.1, 54.9, 55, 55.05].map((bar, i) => tested(DAY + 300 * i, bar));
  const answer = forecastPrecharge(flat, model, { limit20BarGauge: 44 })!;
  expect(answer.latestOn).toBeNull();
  expect(answer.openEnd).toBe('loss-not-told-from-zero');
  expect(answer.lossPerYear.low).toBeLessThan(0);
  expect(answer.belowLimit.at(-1)!.probability).toBeLessThan(0.9);
  const far = forecastPrecharge([charge(DAY, 55)], MODEL, { limit20BarGauge: 44, horizonDays: 900 })!;
  expect([far.medianOn, far.openEnd]).toEqual([null, 'beyond-horizon']);
});

test('the band joins the forecast and passes the readings of every charge', () => {
  const { observations, lastDay } = UNITS[3]!;
  const { fit } = outlook(observations);
  const days = [lastDay, lastDay + 200, lastDay + 2_000];
  outlookBand(observations, MODEL, days).forEach((point, i) => {
    // two routes: a filter that runs forward, and best linear prediction with the whole covariance
    const forward = estimateOn(fit, days[i]!);
    expect(point.medianBarGauge).toBeCloseTo(forward.medianBarGauge, 9);
    expect(point.lowBarGauge).toBeCloseTo(forward.lowBarGauge, 9);
    expect(point.highBarGauge).toBeCloseTo(forward.highBarGauge, 9);
  });
  const past = outlookBand(
    observations,
    MODEL,
    observations.map(({ day }) => day),
  );
  past.forEach((point, i) =>
    expect(Math.abs(point.medianBarGauge - observations[i]!.precharge20BarGauge)).toBeLessThan(2),
  );
  expect(outlookBand(observations, MODEL, [observations[0]!.day - 1])).toEqual([]);
});

test.each([
  ['limit20BarGauge', () => forecastPrecharge([charge(DAY, 55)], MODEL, { limit20BarGauge: NaN })],
  [
    'horizonDays',
    () => forecastPrecharge([charge(DAY, 55)], MODEL, { limit20BarGauge: 44, horizonDays: -1 }),
  ],
  ['precharge20BarGauge', () => forecastPrecharge([charge(DAY, -1.2)], MODEL, { limit20BarGauge: 44 })],
])('%s that makes no sense is refused', (field, ask) => {
  expect(ask).toThrow(expect.objectContaining({ field }) as Error);
});
