import { normalisePrecharge, type PrechargeReading } from '../../src/core/gas/normalise-precharge';
import { ambientBarOf } from '../../src/core/gas/ambient-pressure';
import { likelyFahrenheit } from '../../src/core/gas/likely-fahrenheit';
import {
  GAS_VALIDITY,
  requireBarAbsInRange,
  requireTemperatureInRange,
} from '../../src/core/gas/nitrogen-limits';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import { kelvinFromCelsius } from '../../src/core/shared/units-of-measure';
import { median, type Figure } from './figures';

const RUNS = 9;
const READINGS = 8_192;
const PASSES = 25;

/** Normalising precharge readings: the real gas, and the same function with the ideal-gas law in its place. */
export function benchGas(): Promise<Figure[]> {
  const readings = variedReadings();
  const real = () => secondsFor(readings, (reading) => normalisePrecharge(reading).precharge20BarGauge);
  const ideal = () => secondsFor(readings, (reading) => normaliseIdeal(reading).precharge20BarGauge);
  for (let warmUp = 0; warmUp < 3; warmUp++) {
    real();
    ideal();
  }
  const runs = Array.from({ length: RUNS }, () => ({ real: real(), ideal: ideal() }));
  const perSecond = (READINGS * PASSES) / median(runs.map((run) => run.real));
  return Promise.resolve([
    {
      key: 'gas_normalise_per_s',
      value: perSecond,
      unit: '/s',
      comparison: `${READINGS} different readings on one core, median of ${RUNS} runs; at least 100,000`,
    },
    {
      key: 'gas_real_to_ideal',
      value: median(runs.map((run) => run.real / run.ideal)),
      unit: 'times',
      comparison: 'the same checks and answer with the ideal-gas law',
    },
  ]);
}

// -20 to 45 °C, as a workshop reads them: a hotter one costs both sides the writing of a warning. No two are
// alike, so that no call can use what another one worked out.
function variedReadings(): PrechargeReading[] {
  const random = new SeededRandom(293);
  return Array.from({ length: READINGS }, () => ({
    pressureBarGauge: 5 + 195 * random.next(),
    gasTemperatureC: -20 + 65 * random.next(),
    ambientBar: 0.8 + 0.25 * random.next(),
  }));
}

function secondsFor(readings: readonly PrechargeReading[], normalise: (one: PrechargeReading) => number) {
  const start = process.hrtime.bigint();
  let sum = 0;
  for (let pass = 0; pass < PASSES; pass++) for (const reading of readings) sum += normalise(reading);
  const seconds = Number(process.hrtime.bigint() - start) / 1e9;
  if (!Number.isFinite(sum)) throw new Error('a precharge is not a number');
  return seconds;
}

function normaliseIdeal(reading: PrechargeReading) {
  const { pressureBarGauge, gasTemperatureC } = reading;
  requireTemperatureInRange(gasTemperatureC, 'gasTemperatureC');
  const ambientBar = ambientBarOf(reading);
  const pressureBarAbs = pressureBarGauge + ambientBar;
  requireBarAbsInRange(pressureBarAbs, 'pressureBarGauge');
  const temperatureK = kelvinFromCelsius(gasTemperatureC);
  const meantC = likelyFahrenheit(gasTemperatureC);
  return {
    precharge20BarGauge: (pressureBarAbs * 293.15) / temperatureK - ambientBar,
    ambientBar,
    pressureBarAbs,
    likelyFahrenheitReadingC: meantC,
    warnings: meantC === null ? [] : [`${gasTemperatureC} °C is hot; ${meantC.toFixed(1)} °C?`],
    method: 'p / T is constant',
    validity: GAS_VALIDITY,
    cautions: [],
  };
}
