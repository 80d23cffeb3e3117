import fc from 'fast-check';
import { deliveredVolume } from '../../../src/core/gas/delivered-volume';
import { leakFromCycle } from '../../../src/core/gas/leak-from-cycle';
import { stopwatchTest, type StopwatchInput } from '../../../src/core/gas/stopwatch-test';
import { refusalOf } from './refusal-of';

const limits = {
  nominalPrecharge20BarGauge: 62,
  lowestPrechargeShare: 0.8,
  shortestIntervalSeconds: 10,
  highestLeakMlPerMin: 60,
};
const regulator = { gasVolumeL: 0.4, cutInBarGauge: 140, cutOutBarGauge: 170, limits };

interface Truth {
  readonly precharge20BarGauge: number;
  readonly leakMlPerMin: number;
  readonly pumpDeliveryLPerMin: number;
  readonly gasTemperatureC: number;
}

/** What the stopwatch shows of a system whose leak and precharge are known. */
function simulated(truth: Truth, heat: 'isothermalL' | 'fastL'): StopwatchInput {
  const volume = deliveredVolume({
    gasVolumeL: regulator.gasVolumeL,
    precharge20BarGauge: truth.precharge20BarGauge,
    gasTemperatureC: truth.gasTemperatureC,
    lowBarGauge: regulator.cutInBarGauge,
    highBarGauge: regulator.cutOutBarGauge,
  });
  const ml = 1000 * volume[heat];
  return {
    ...regulator,
    idleSeconds: (60 * ml) / truth.leakMlPerMin,
    chargeSeconds: (60 * ml) / (1000 * truth.pumpDeliveryLPerMin - truth.leakMlPerMin),
    pumpDeliveryLPerMin: truth.pumpDeliveryLPerMin,
    gasTemperatureC: truth.gasTemperatureC,
  };
}

const truth = fc.record({
  precharge20BarGauge: fc.double({ min: 5, max: 120, noNaN: true }),
  leakMlPerMin: fc.double({ min: 5, max: 400, noNaN: true }),
  pumpDeliveryLPerMin: fc.double({ min: 0.5, max: 3, noNaN: true }),
  gasTemperatureC: fc.double({ min: 0, max: 40, noNaN: true }),
});

test('finds the leak and the precharge that made the times', () => {
  fc.assert(
    fc.property(truth, (hidden) => {
      const slow = stopwatchTest(simulated(hidden, 'isothermalL')).figures!;
      const fast = stopwatchTest(simulated(hidden, 'fastL')).figures!;
      for (const { leakMlPerMin } of [slow, fast]) {
        expect(leakMlPerMin / hidden.leakMlPerMin).toBeCloseTo(1, 9);
      }
      expect(slow.precharge20!.lowBarGauge).toBeCloseTo(hidden.precharge20BarGauge, 6);
      expect(fast.precharge20!.highBarGauge).toBeCloseTo(hidden.precharge20BarGauge, 6);
      // whatever heat the gas took, the truth is inside the bracket
      expect(slow.precharge20!.highBarGauge).toBeGreaterThan(hidden.precharge20BarGauge);
      expect(fast.precharge20!.lowBarGauge).toBeLessThan(hidden.precharge20BarGauge);
    }),
  );
});

test('one interval, two causes: only the two times together tell them apart', () => {
  const lost = simulated(
    { precharge20BarGauge: 20, leakMlPerMin: 40, pumpDeliveryLPerMin: 1.2, gasTemperatureC: 20 },
    'isothermalL',
  );
  const sound = { precharge20BarGauge: 62, pumpDeliveryLPerMin: 1.2, gasTemperatureC: 20 };
  const interval = stopwatchTest(lost).intervalSeconds;
  // the leak at which a sound unit shows the same interval
  let [low, high] = [40, 400];
  for (let round = 0; round < 60; round++) {
    const leakMlPerMin = (low + high) / 2;
    const seen = stopwatchTest(simulated({ ...sound, leakMlPerMin }, 'isothermalL')).intervalSeconds;
    if (seen > interval) low = leakMlPerMin;
    else high = leakMlPerMin;
  }
  const leaking = simulated({ ...sound, leakMlPerMin: low }, 'isothermalL');
  expect(stopwatchTest(leaking).intervalSeconds).toBeCloseTo(interval, 6);
  expect(stopwatchTest(lost).diagnosis.verdict).toBe('gas-loss');
  expect(stopwatchTest(leaking).diagnosis.verdict).toBe('system-leakage');
});

describe('diagnosis', () => {
  const verdict = (precharge20BarGauge: number, leakMlPerMin: number, over: Partial<StopwatchInput> = {}) =>
    stopwatchTest({
      ...simulated(
        { precharge20BarGauge, leakMlPerMin, pumpDeliveryLPerMin: 1.2, gasTemperatureC: 20 },
        'isothermalL',
      ),
      ...over,
    }).diagnosis;

  test.each([
    [62, 30, 'healthy'],
    [20, 30, 'gas-loss'],
    [62, 100, 'system-leakage'],
    [20, 100, 'both'],
    // true 40 bar, below 80 % of 62: but a cooling gas would need 65 for the same volume
    [40, 30, 'cannot-be-told'],
    // the leak is certain though the gas is not
    [40, 100, 'system-leakage'],
  ])('precharge %d bar, leak %d ml/min: %s', (precharge, leak, expected) => {
    expect(verdict(precharge, leak).verdict).toBe(expected);
  });

  test('reasons carry the numbers', () => {
    const { reasons, isIntervalShort } = verdict(20, 300);
    expect(isIntervalShort).toBe(true);
    expect(reasons).toHaveLength(3);
    expect(reasons[0]).toMatch(/^The pump cuts in every \d\.\d s, which is more often than every 10 s\.$/);
    expect(reasons[1]).toMatch(
      /precharge at 20 °C is 20\.0 to 3\d\.\d bar: below 49\.6 bar, 80 % of the nominal 62 bar\./,
    );
    expect(reasons[2]).toBe('The system leaks 300.0 ml/min, above the limit of 60 ml/min.');
  });

  test('without a leak limit a leak is not judged', () => {
    const open = { limits: { ...limits, highestLeakMlPerMin: undefined } };
    expect(verdict(62, 300, open).verdict).toBe('cannot-be-told');
    expect(verdict(20, 300, open).verdict).toBe('gas-loss');
    expect(verdict(62, 300, open).reasons.join(' ')).toContain('no limit is given');
  });

  test('without the pump delivery there is the interval and the share, and no guess', () => {
    const result = stopwatchTest({ ...regulator, chargeSeconds: 2, idleSeconds: 6 });
    expect(result).toMatchObject({ intervalSeconds: 8, dutyShare: 0.25, figures: null });
    expect(result.diagnosis.verdict).toBe('cannot-be-told');
    expect(result.diagnosis.isIntervalShort).toBe(true);
    expect(result.diagnosis.reasons[1]).toContain('Without the pump delivery');
  });

  test('more volume than the unit has is a contradiction, not a precharge', () => {
    const result = stopwatchTest({
      ...regulator,
      chargeSeconds: 20,
      idleSeconds: 100,
      pumpDeliveryLPerMin: 1.2,
    });
    expect(result.figures!.usableMl).toBeCloseTo(333.33, 2);
    expect(result.figures!.precharge20).toBeNull();
    expect(result.diagnosis.reasons[1]).toContain('at any precharge');
  });

  test('sound figures and a short interval disagree', () => {
    const far = { limits: { ...limits, shortestIntervalSeconds: 1000 } };
    const result = verdict(62, 30, far);
    expect(result.verdict).toBe('cannot-be-told');
    expect(result.reasons.at(-1)).toContain('the interval is short');
  });

  test('the high estimate is held where the unit would bottom', () => {
    const { figures } = stopwatchTest(
      simulated(
        { precharge20BarGauge: 125, leakMlPerMin: 30, pumpDeliveryLPerMin: 1.2, gasTemperatureC: 20 },
        'isothermalL',
      ),
    );
    expect(figures!.precharge20!.isHighCapped).toBe(true);
    expect(figures!.precharge20!.highBarGauge).toBeCloseTo(140, 6);
    expect(figures!.precharge20!.lowBarGauge).toBeCloseTo(125, 6);
  });

  test('next to no volume is no gas at all', () => {
    const { figures } = stopwatchTest({
      ...regulator,
      chargeSeconds: 0.001,
      idleSeconds: 1,
      pumpDeliveryLPerMin: 1.2,
    });
    expect(figures!.precharge20!.lowBarGauge).toBe(0);
  });
});

test('the leak from the cycle time agrees where the precharge is the one found', () => {
  const hidden = { precharge20BarGauge: 50, leakMlPerMin: 25, pumpDeliveryLPerMin: 1, gasTemperatureC: 30 };
  const input = simulated(hidden, 'isothermalL');
  const { leakMlPerMin } = leakFromCycle({
    ...regulator,
    precharge20BarGauge: 50,
    gasTemperatureC: 30,
    idleSeconds: input.idleSeconds,
  });
  expect(leakMlPerMin).toBeCloseTo(25, 9);
});

test.each([
  [{ chargeSeconds: 0 }, 'chargeSeconds'],
  [{ idleSeconds: -1 }, 'idleSeconds'],
  [{ idleSeconds: Infinity }, 'idleSeconds'],
  [{ pumpDeliveryLPerMin: 0 }, 'pumpDeliveryLPerMin'],
  [{ gasVolumeL: NaN }, 'gasVolumeL'],
  [{ cutInBarGauge: 180 }, 'cutInBarGauge'],
  [{ cutOutBarGauge: 260 }, 'cutOutBarGauge'],
  [{ gasTemperatureC: 100 }, 'gasTemperatureC'],
  [{ limits: { ...limits, lowestPrechargeShare: 80 } }, 'limits.lowestPrechargeShare'],
  [{ limits: { ...limits, nominalPrecharge20BarGauge: 0 } }, 'limits.nominalPrecharge20BarGauge'],
  [{ limits: { ...limits, shortestIntervalSeconds: -1 } }, 'limits.shortestIntervalSeconds'],
  [{ limits: { ...limits, highestLeakMlPerMin: NaN } }, 'limits.highestLeakMlPerMin'],
])('%j is refused at %s', (over, field) => {
  const input = { ...regulator, chargeSeconds: 2, idleSeconds: 30, pumpDeliveryLPerMin: 1.2, ...over };
  expect(refusalOf(() => stopwatchTest(input)).field).toBe(field);
});

test.each([
  [{ idleSeconds: 0 }, 'idleSeconds'],
  [{ cutInBarGauge: 175 }, 'cutInBarGauge'],
  [{ cutOutBarGauge: 255 }, 'cutOutBarGauge'],
  [{ precharge20BarGauge: -3 }, 'precharge20BarGauge'],
])('the leak from the cycle time refuses %j at %s', (over, field) => {
  const input = { ...regulator, precharge20BarGauge: 62, idleSeconds: 30, ...over };
  expect(refusalOf(() => leakFromCycle(input)).field).toBe(field);
});
