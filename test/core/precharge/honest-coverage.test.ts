import { fitPrecharge } from '../../../src/core/precharge/fit-precharge';
import { forecastPrecharge } from '../../../src/core/precharge/forecast-precharge';
import { learnPrechargeModel } from '../../../src/core/precharge/learn-precharge-model';
import { defaultPrechargeModel, type PrechargeRecord } from '../../../src/core/precharge/precharge-model';
import { simulateUnits, type TrueType } from './simulated-units';

const PRIOR = defaultPrechargeModel();
const SLOW: TrueType = {
  meanLoss: 0.03,
  lossSd: 0.002,
  readingSd: 0.004,
  readingSpread: 0,
  wanderSd: 0.003,
  tests: 3,
  rechargeEvery: null,
};
const FAST = { ...SLOW, meanLoss: 0.12 };

// The sorted ids decide the halves: every second unit.
function alternating(odd: readonly PrechargeRecord[], even: readonly PrechargeRecord[]): PrechargeRecord[] {
  return odd.flatMap((unit, i) => [
    { ...unit, unitId: `${String(i).padStart(3, '0')}-a` },
    { ...(even[i] as PrechargeRecord), unitId: `${String(i).padStart(3, '0')}-b` },
  ]);
}

test('the widening of the model widens what is forecast', () => {
  const [unit] = simulateUnits(SLOW, 1, 31, 0);
  const { observations } = unit!;
  const plain = fitPrecharge(observations, PRIOR)!;
  const wide = fitPrecharge(observations, { ...PRIOR, widening: 2 })!;
  expect(wide.decay.scale / plain.decay.scale).toBeCloseTo(2, 12);
  expect(wide.decay.loss).toBe(plain.decay.loss);
  const window = (widening: number) => {
    const answer = forecastPrecharge(observations, { ...PRIOR, widening }, { limit20BarGauge: 48 })!;
    return answer.latestOn! - answer.earliestOn!;
  };
  expect(window(1.3)).toBeGreaterThan(1.2 * window(1));
});

test('coverage is measured on units that the model was not learned from', () => {
  const slow = simulateUnits(SLOW, 20, 32, 0);
  const fast = simulateUnits(FAST, 20, 33, 0);
  const alike = learnPrechargeModel(alternating(slow, simulateUnits(SLOW, 20, 34, 0)), PRIOR).record;
  // one half loses four times as fast as the other: what either half teaches is wrong for the other
  const unlike = learnPrechargeModel(alternating(slow, fast), PRIOR).record;
  expect([alike.measuredOn, unlike.measuredOn]).toEqual(['other-units', 'other-units']);
  process.stdout.write(
    `held by the other half's model: halves alike ${alike.coverage80Unwidened!.toFixed(2)}, ` +
      `unlike ${unlike.coverage80Unwidened!.toFixed(2)}\n`,
  );
  expect(alike.coverage80Unwidened).toBeGreaterThan(0.75);
  expect(unlike.coverage80Unwidened).toBeLessThan(0.6);
});
