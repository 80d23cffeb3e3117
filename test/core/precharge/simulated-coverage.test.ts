import { fitPrecharge, readingOn } from '../../../src/core/precharge/fit-precharge';
import { logPressure } from '../../../src/core/precharge/flag-observations';
import { forecastPrecharge } from '../../../src/core/precharge/forecast-precharge';
import { learnPrechargeModel } from '../../../src/core/precharge/learn-precharge-model';
import { defaultPrechargeModel, type PrechargeModel } from '../../../src/core/precharge/precharge-model';
import { studentHundredths } from '../../../src/core/precharge/student-quantiles';
import {
  LATER_TEST_DAYS,
  type SimulatedUnit,
  simulateUnits,
  trueDaysUntilBelow,
  type TrueType,
} from './simulated-units';

jest.setTimeout(300_000);

const USUAL: TrueType = {
  meanLoss: 0.045,
  lossSd: 0.013,
  readingSd: 0.008,
  readingSpread: 0,
  wanderSd: 0.006,
  tests: 5,
  rechargeEvery: null,
};
// deep enough that hardly a unit has fallen below it by its last test
const LIMIT = 36;
const TYPES: [string, TrueType][] = [
  ['yearly tests of one charge', USUAL],
  ['recharged after every third test', { ...USUAL, tests: 7, rechargeEvery: 4 }],
  ['lines that do not wander', { ...USUAL, wanderSd: 0 }],
  ['lines that wander much', { ...USUAL, wanderSd: 0.015 }],
  ['only two tests', { ...USUAL, tests: 2 }],
];

describe.each(TYPES)('with the truth as the model: %s', (name, type) => {
  test('the 80 % intervals of a later test and of the crossing date hold 80 +/- 2 %', () => {
    const tally = judge(simulateUnits(type, 4_000, 2), trueModel(type));
    process.stdout.write(`true model, ${name}: ${shown(tally)}\n`);
    expect(Math.abs(tally.value - 0.8)).toBeLessThanOrEqual(0.02);
    expect(Math.abs(tally.crossing - 0.8)).toBeLessThanOrEqual(0.02);
  });
});

// Sixteen fleets of 350 units each, every one learned by itself and judged on 250 other units of its kind.
describe.each([
  ...TYPES.slice(0, 2),
  ['readings of unlike quality', { ...USUAL, readingSpread: 0.35 }] as const,
])('with a learned model: %s', (name, type) => {
  test('the 80 % intervals hold 80 +/- 2 %, and the back-test knew', () => {
    const fleets = Array.from({ length: 16 }, (_, fleet) => {
      const { model, record } = learnPrechargeModel(
        simulateUnits(type, 350, 100 + fleet, 0),
        defaultPrechargeModel(),
      );
      return { ...judge(simulateUnits(type, 250, 200 + fleet), model), backTest: record.coverage80! };
    });
    const mean = (of: (fleet: (typeof fleets)[number]) => number) =>
      fleets.reduce((sum, fleet) => sum + of(fleet), 0) / fleets.length;
    const tally = { value: mean((fleet) => fleet.value), crossing: mean((fleet) => fleet.crossing) };
    const backTest = mean((fleet) => fleet.backTest);
    process.stdout.write(`learned, ${name}: ${shown(tally)}; back-test ${(100 * backTest).toFixed(1)} %\n`);
    expect(Math.abs(tally.value - 0.8)).toBeLessThanOrEqual(0.02);
    expect(Math.abs(tally.crossing - 0.8)).toBeLessThanOrEqual(0.02);
    expect(Math.abs(backTest - 0.8)).toBeLessThanOrEqual(0.02);
  });
});

interface Tally {
  readonly value: number;
  readonly crossing: number;
}

function judge(units: readonly SimulatedUnit[], model: PrechargeModel): Tally {
  let [value, crossing, asked] = [0, 0, 0];
  for (const unit of units) {
    const fit = fitPrecharge(unit.observations, model)!;
    const { log, scale, degreesOfFreedom } = readingOn(fit, unit.lastDay + LATER_TEST_DAYS);
    const half = studentHundredths(degreesOfFreedom)[89]! * scale;
    if (Math.abs(unit.laterReadingLog - log) <= half) value++;
    const days = trueDaysUntilBelow(unit, logPressure(LIMIT));
    // below already: there is no date to be forecast
    if (days === 0) continue;
    asked++;
    const outlook = forecastPrecharge(unit.observations, model, {
      limit20BarGauge: LIMIT,
      horizonDays: 11_000,
    })!;
    const low = (outlook.earliestOn ?? Infinity) - unit.lastDay;
    const high = (outlook.latestOn ?? Infinity) - unit.lastDay;
    if (days >= low && days <= high) crossing++;
  }
  expect(asked).toBeGreaterThan(0.98 * units.length);
  return { value: value / units.length, crossing: crossing / asked };
}

function trueModel(type: TrueType): PrechargeModel {
  return {
    ...defaultPrechargeModel(),
    logLossPerYear: { mean: type.meanLoss, sd: type.lossSd },
    readingSd: type.readingSd,
    wanderPerYear: (type.wanderSd / type.readingSd) ** 2,
    degreesOfFreedom: 10_000,
  };
}

function shown(tally: Tally): string {
  return `later test ${(100 * tally.value).toFixed(1)} %, crossing ${(100 * tally.crossing).toFixed(1)} %`;
}
