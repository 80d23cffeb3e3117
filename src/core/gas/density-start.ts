import { kelvinFromCelsius } from '../shared/units-of-measure';
import { CRITICAL_DENSITY_MOL_PER_DM3 } from './nitrogen-constants';
import { isothermAt } from './nitrogen-isotherm';
import {
  HIGHEST_BAR_ABS,
  HIGHEST_TEMPERATURE_C,
  LOWEST_BAR_ABS,
  LOWEST_TEMPERATURE_C,
} from './nitrogen-limits';
import { idealPressure } from './nitrogen-pressure';
import { solveDensity } from './solve-density';

const PRESSURE_DEGREE = 9;
const TEMPERATURE_DEGREE = 5;

const COLDEST_K = kelvinFromCelsius(LOWEST_TEMPERATURE_C);
const HOTTEST_K = kelvinFromCelsius(HIGHEST_TEMPERATURE_C);
const MIDDLE_BAR = (LOWEST_BAR_ABS + HIGHEST_BAR_ABS) / 2;
const HALF_RANGE_BAR = (HIGHEST_BAR_ABS - LOWEST_BAR_ABS) / 2;
// The compressibility factor bends less in 1/T than in T.
const MIDDLE_PER_K = (1 / COLDEST_K + 1 / HOTTEST_K) / 2;
const HALF_RANGE_PER_K = (1 / COLDEST_K - 1 / HOTTEST_K) / 2;

// row by row the polynomial in 1/T of one power of the pressure, highest powers first
const SURFACE = fitSurface();

/**
 * A first guess of the reduced density. Within the range of `nitrogen-limits.ts` it is right to about 1e-6,
 * by a polynomial through the compressibility factors of the reference equation itself (Chebyshev nodes);
 * outside it is the ideal gas.
 */
export function startDelta(temperatureK: number, barAbs: number): number {
  const ideal = barAbs / idealPressure(temperatureK, CRITICAL_DENSITY_MOL_PER_DM3);
  const x = (barAbs - MIDDLE_BAR) / HALF_RANGE_BAR;
  const y = (1 / temperatureK - MIDDLE_PER_K) / HALF_RANGE_PER_K;
  if (!(Math.abs(x) <= 1 && Math.abs(y) <= 1)) return ideal;
  let compressibility = 0;
  for (let at = 0; at < SURFACE.length;) {
    let coefficient = 0;
    for (const end = at + TEMPERATURE_DEGREE + 1; at < end; at++) {
      coefficient = coefficient * y + (SURFACE[at] as number);
    }
    compressibility = compressibility * x + coefficient;
  }
  return ideal / compressibility;
}

function fitSurface(): Float64Array {
  const pressureNodes = chebyshevNodes(PRESSURE_DEGREE);
  const temperatureNodes = chebyshevNodes(TEMPERATURE_DEGREE);
  // for each temperature the polynomial in the pressure, then for each of its powers the one in 1/T
  const byTemperature = temperatureNodes.map((y) => {
    const temperatureK = 1 / (MIDDLE_PER_K + HALF_RANGE_PER_K * y);
    const isotherm = isothermAt(temperatureK);
    const factors = pressureNodes.map((x) => {
      const barAbs = MIDDLE_BAR + HALF_RANGE_BAR * x;
      const ideal = barAbs / idealPressure(temperatureK, 1);
      const start = ideal / CRITICAL_DENSITY_MOL_PER_DM3;
      return ideal / solveDensity(isotherm, temperatureK, barAbs, start);
    });
    return coefficientsThrough(pressureNodes, factors);
  });
  const rows = pressureNodes.map((_, power) =>
    coefficientsThrough(
      temperatureNodes,
      byTemperature.map((coefficients) => coefficients[power] as number),
    ),
  );
  return Float64Array.from(rows.reverse().flatMap((row) => row.reverse()));
}

function chebyshevNodes(degree: number): number[] {
  return Array.from({ length: degree + 1 }, (_, k) => Math.cos(((2 * k + 1) * Math.PI) / (2 * degree + 2)));
}

// Newton's divided differences, multiplied out; lowest power first.
function coefficientsThrough(nodes: readonly number[], values: readonly number[]): number[] {
  const differences = [...values];
  const at = (list: readonly number[], k: number): number => list[k] as number;
  for (let order = 1; order < nodes.length; order++) {
    for (let k = nodes.length - 1; k >= order; k--) {
      differences[k] = (at(differences, k) - at(differences, k - 1)) / (at(nodes, k) - at(nodes, k - order));
    }
  }
  let coefficients: number[] = [];
  for (let k = nodes.length - 1; k >= 0; k--) {
    // coefficients * (x - node) + difference
    const shifted = [0, ...coefficients];
    coefficients = shifted.map((value, power) => value - at(nodes, k) * (coefficients[power] ?? 0));
    coefficients[0] = (coefficients[0] ?? 0) + at(differences, k);
  }
  return coefficients;
}
