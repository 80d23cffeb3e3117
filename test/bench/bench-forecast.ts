import { forecastPrecharge } from '../../src/core/precharge/forecast-precharge';
import { defaultPrechargeModel, type PrechargeObservation } from '../../src/core/precharge/precharge-model';
import { SeededRandom } from '../../src/core/shared/seeded-random';
import { median, type Figure } from './figures';

const RUNS = 9;
const UNITS = 20_000;
const LIMIT = 44;

/** Forecasts of units with five to eight observations each: the fit, three dates and the curve by hundredths. */
export function benchForecast(): Promise<Figure[]> {
  const units = variedUnits();
  secondsFor(units);
  const runs = Array.from({ length: RUNS }, () => secondsFor(units));
  return Promise.resolve([
    {
      key: 'forecast_per_s',
      value: UNITS / median(runs),
      unit: '/s',
      comparison: `${UNITS} different units on one core, median of ${RUNS} runs; at least 10,000`,
    },
  ]);
}

// No two alike, so that no call can use what another one worked out.
function variedUnits(): PrechargeObservation[][] {
  const random = new SeededRandom(55);
  return Array.from({ length: UNITS }, (_, unit) => {
    const count = 5 + (unit % 4);
    const rechargeAt = unit % 3 === 0 ? 3 : -1;
    const lossPerYear = 0.045 + 0.012 * random.normal();
    let day = 18_000 + random.integer(0, 365);
    let log = Math.log(56);
    return Array.from({ length: count }, (_unused, i): PrechargeObservation => {
      const isCharge = i === 0 || i === rechargeAt;
      if (isCharge) log = Math.log(56);
      else {
        const days = random.integer(150, 400);
        day += days;
        log -= (lossPerYear * days) / 365.25;
      }
      return {
        id: `${unit}-${i}`,
        day,
        kind: isCharge ? 'charge' : 'precharge-test',
        precharge20BarGauge: Math.exp(log + 0.008 * random.normal()) - 1.01325,
      };
    });
  });
}

function secondsFor(units: readonly (readonly PrechargeObservation[])[]): number {
  const model = defaultPrechargeModel();
  const start = process.hrtime.bigint();
  let sum = 0;
  for (const unit of units) sum += forecastPrecharge(unit, model, { limit20BarGauge: LIMIT })?.medianOn ?? 0;
  const seconds = Number(process.hrtime.bigint() - start) / 1e9;
  if (!(sum > 0)) throw new Error('no unit has a forecast');
  return seconds;
}
