import { backTestPrecharge } from '../../../src/core/precharge/back-test-precharge';
import { forecastPrecharge } from '../../../src/core/precharge/forecast-precharge';
import { learnPrechargeModel } from '../../../src/core/precharge/learn-precharge-model';
import { defaultPrechargeModel, type PrechargeModel } from '../../../src/core/precharge/precharge-model';
import { simulateUnits, type TrueType } from './simulated-units';

const PRIOR = defaultPrechargeModel();
const LEAKY: TrueType = {
  meanLoss: 0.09,
  lossSd: 0.01,
  readingSd: 0.008,
  readingSpread: 0,
  wanderSd: 0.006,
  tests: 4,
  rechargeEvery: null,
};
const NEW_UNIT = [{ id: 'c', day: 20_000, kind: 'charge' as const, precharge20BarGauge: 55 }];

test('under five units the programme keeps its own prior', () => {
  const { model, record } = learnPrechargeModel(simulateUnits(LEAKY, 4, 1, 0), PRIOR);
  expect(model).toEqual(PRIOR);
  expect(record).toMatchObject({ isPrior: true, units: 0, observations: 20, leftOut: 0 });
});

test('a new unit of a type with a bad record is due earlier', () => {
  const { model, record } = learnPrechargeModel(simulateUnits(LEAKY, 40, 1, 0), PRIOR);
  expect(record).toMatchObject({ isPrior: false, units: 40, observations: 200, measuredOn: 'other-units' });
  expect(model.logLossPerYear.mean).toBeCloseTo(0.09, 2);
  const medianWith = (one: PrechargeModel) =>
    forecastPrecharge(NEW_UNIT, one, { limit20BarGauge: 44 })!.medianOn!;
  expect(medianWith(model)).toBeLessThan(medianWith(PRIOR) - 365);
});

test('the truth is found with enough units', () => {
  const { model } = learnPrechargeModel(simulateUnits(LEAKY, 400, 5, 0), PRIOR);
  expect(Math.abs(model.logLossPerYear.mean - LEAKY.meanLoss)).toBeLessThan(0.002);
  expect(model.logLossPerYear.sd).toBeGreaterThan(0.008);
  expect(model.logLossPerYear.sd).toBeLessThan(0.012);
  expect(Math.abs(model.readingSd - LEAKY.readingSd)).toBeLessThan(0.001);
  expect(Math.abs(model.readingSd * Math.sqrt(model.wanderPerYear) - LEAKY.wanderSd)).toBeLessThan(0.002);
});

test('the order of the units changes nothing, and the answer is plain data', () => {
  const units = simulateUnits(LEAKY, 30, 3, 0);
  const learned = learnPrechargeModel(units, PRIOR);
  expect(learnPrechargeModel([...units].reverse(), PRIOR)).toEqual(learned);
  expect(JSON.parse(JSON.stringify(learned))).toEqual(learned);
});

test('a model that is too sure of itself is widened', () => {
  // lines that wander much, and a prior that rules wandering out
  const units = simulateUnits({ ...LEAKY, tests: 9, wanderSd: 0.03 }, 80, 4, 0);
  const sure = { ...PRIOR, wanderPerYear: 0 };
  const { model, record } = learnPrechargeModel(units, sure);
  expect(model.wanderPerYear).toBe(0);
  expect(record.coverage80Unwidened).toBeLessThan(0.76);
  expect(model.widening).toBeGreaterThan(1.1);
  expect(Math.abs(record.coverage80! - 0.8)).toBeLessThan(0.05);
});

test('a forecast of the back-test does not know what came after its origin', () => {
  const [unit] = simulateUnits(LEAKY, 1, 9, 0);
  const first = backTestPrecharge([unit!], PRIOR).filter(
    ({ originDay }) => originDay === unit!.observations[0]!.day,
  );
  const shorter = { ...unit!, observations: unit!.observations.slice(0, 3) };
  const again = backTestPrecharge([shorter], PRIOR).filter(
    ({ originDay }) => originDay === unit!.observations[0]!.day,
  );
  expect(first.slice(0, 2)).toEqual(again);
  expect(again).toHaveLength(2);
});
