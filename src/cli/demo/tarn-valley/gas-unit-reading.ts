import { normalisePrecharge } from '../../../core/gas/normalise-precharge';
import { nitrogenDensity } from '../../../core/gas/nitrogen-density';
import { nitrogenPressure } from '../../../core/gas/nitrogen-pressure';
import { EpochDay } from '../../../core/shared/calendar-date';
import { ATMOSPHERE_BAR, kelvinFromCelsius } from '../../../core/shared/units-of-measure';
import { DemoGauge, gaugeErrorShare } from './gas-unit-gauges';
import { NamedRandom } from './named-random';

/** What was written down at a test. */
export interface GaugeReading {
  pressureBarGauge: number;
  gasTemperatureC: number;
  /** Undefined where nobody looked at the barometer. */
  ambientBar: number | undefined;
  gauge: DemoGauge;
}

const COLDEST_C = -5;
const HOTTEST_C = 35;
// 20 July 1970
const MIDSUMMER_DAY = 200;
const GAUGE_NOISE_SHARE = 0.005;
const THERMOMETER_NOISE_C = 0.8;

/**
 * What the instruments show of a precharge: the real gas at the temperature of the day, with the errors of gauge
 * and thermometer.
 */
export function readGauge(
  true20BarGauge: number,
  day: EpochDay,
  gauge: DemoGauge,
  random: NamedRandom,
): GaugeReading {
  const trueC = gasTemperatureOf(day, random);
  const trueAmbientBar = 1.013 + random.deviate(0, 0.008);
  const shown =
    gaugePressureAt(trueC, true20BarGauge, trueAmbientBar) *
    (1 + gaugeErrorShare(gauge, day) + random.deviate(0, GAUGE_NOISE_SHARE));
  const shownC = trueC + random.deviate(0, THERMOMETER_NOISE_C);
  return {
    pressureBarGauge: roundTo(shown, gauge.resolutionBar),
    gasTemperatureC: Math.min(HOTTEST_C, Math.max(COLDEST_C, roundTo(shownC, 0.5))),
    ambientBar: random.chance(0.35) ? roundTo(trueAmbientBar, 0.001) : undefined,
    gauge,
  };
}

/** What an exact gauge shows at a gas temperature of a unit that has a precharge at 20 °C, bar gauge. */
export function gaugePressureAt(
  gasTemperatureC: number,
  true20BarGauge: number,
  ambientBar = ATMOSPHERE_BAR,
): number {
  const density = nitrogenDensity(kelvinFromCelsius(20), true20BarGauge + ATMOSPHERE_BAR);
  return nitrogenPressure(kelvinFromCelsius(gasTemperatureC), density) - ambientBar;
}

/** The precharge at 20 °C that a workshop works out of a reading, bar gauge. */
export function measured20BarGauge({ pressureBarGauge, gasTemperatureC, ambientBar }: GaugeReading): number {
  return normalisePrecharge({ pressureBarGauge, gasTemperatureC, ambientBar }).precharge20BarGauge;
}

function gasTemperatureOf(day: EpochDay, random: NamedRandom): number {
  const season = 13 + 9 * Math.cos((2 * Math.PI * (day - MIDSUMMER_DAY)) / 365.2425);
  return Math.min(HOTTEST_C, Math.max(COLDEST_C, season + random.deviate(0, 4.5)));
}

// steps of a tenth are not binary, so the result is rounded again to what people write
function roundTo(value: number, step: number): number {
  return Number((Math.round(value / step) * step).toFixed(3));
}
