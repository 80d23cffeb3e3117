import { kelvinFromCelsius } from '../shared/units-of-measure';
import { type Ambient, ambientBarOf } from './ambient-pressure';
import {
  ADVICE_NOT_A_CERTIFICATE,
  GAS_TEMPERATURE_SETTLED,
  type GasCaution,
  NITROGEN_ONLY,
  RELEASE_PRESSURE_FIRST,
} from './gas-cautions';
import { likelyFahrenheit } from './likely-fahrenheit';
import { REFERENCE_TEMPERATURE_K } from './nitrogen-constants';
import { nitrogenDensity } from './nitrogen-density';
import { GAS_VALIDITY, requireBarAbsInRange, requireTemperatureInRange } from './nitrogen-limits';
import { nitrogenPressure } from './nitrogen-pressure';

/** What a test rig and a thermometer showed, with no fluid pressure on the other side of the diaphragm. */
export interface PrechargeReading extends Ambient {
  readonly pressureBarGauge: number;
  readonly gasTemperatureC: number;
}

/** A precharge as it would read at 20 °C. */
export interface NormalisedPrecharge {
  /** By the real gas; the figure to be used. */
  readonly precharge20BarGauge: number;
  /** By the ideal-gas law, for comparison only. */
  readonly idealPrecharge20BarGauge: number;
  readonly ambientBar: number;
  readonly pressureBarAbs: number;
  /** The temperature looks like Fahrenheit; what it would be in degrees Celsius. Null otherwise. */
  readonly likelyFahrenheitReadingC: number | null;
  /** What looks odd about the reading, in sentences. */
  readonly warnings: readonly string[];
  readonly method: string;
  readonly validity: string;
  readonly cautions: readonly GasCaution[];
}

const METHOD =
  'Absolute pressure = gauge + ambient; density of nitrogen at that pressure and the gas temperature; pressure ' +
  'at that density and 20 °C; less the ambient pressure.';

const CAUTIONS: readonly GasCaution[] = [
  GAS_TEMPERATURE_SETTLED,
  RELEASE_PRESSURE_FIRST,
  NITROGEN_ONLY,
  ADVICE_NOT_A_CERTIFICATE,
];

const NO_WARNINGS: readonly string[] = [];

/**
 * The precharge at 20 °C of a closed gas space, from a reading at another temperature: the density stays, the
 * pressure follows. The gas space is taken as rigid. Not rounded. The equation of state is named in `validity`.
 *
 * A result may lie outside 0.5 to 250 bar absolute, where the equation still holds.
 *
 * @throws InputError naming `pressureBarGauge`, `gasTemperatureC`, `ambientBar` or `altitudeM` and the limit;
 *   a temperature that looks like Fahrenheit is explained in the remedy
 */
export function normalisePrecharge(reading: PrechargeReading): NormalisedPrecharge {
  const { pressureBarGauge, gasTemperatureC } = reading;
  requireTemperatureInRange(gasTemperatureC, 'gasTemperatureC');
  const ambientBar = ambientBarOf(reading);
  const pressureBarAbs = pressureBarGauge + ambientBar;
  requireBarAbsInRange(pressureBarAbs, 'pressureBarGauge');
  const temperatureK = kelvinFromCelsius(gasTemperatureC);
  const meantC = likelyFahrenheit(gasTemperatureC);
  const density = nitrogenDensity(temperatureK, pressureBarAbs);
  return {
    precharge20BarGauge: nitrogenPressure(REFERENCE_TEMPERATURE_K, density) - ambientBar,
    idealPrecharge20BarGauge: (pressureBarAbs * REFERENCE_TEMPERATURE_K) / temperatureK - ambientBar,
    ambientBar,
    pressureBarAbs,
    likelyFahrenheitReadingC: meantC,
    warnings: meantC === null ? NO_WARNINGS : [oddTemperature(gasTemperatureC, meantC)],
    method: METHOD,
    validity: GAS_VALIDITY,
    cautions: CAUTIONS,
  };
}

function oddTemperature(gasTemperatureC: number, meantC: number): string {
  return (
    `${gasTemperatureC} °C is hot for a gas unit at rest. If the thermometer shows Fahrenheit, ` +
    `${gasTemperatureC} °F is ${meantC.toFixed(1)} °C: give that.`
  );
}
