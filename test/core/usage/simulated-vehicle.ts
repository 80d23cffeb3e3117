import { SeededRandom } from '../../../src/core/shared/seeded-random';
import type { MeterPoint } from '../../../src/core/usage/meter-track';
import type { UsageRecord } from '../../../src/core/usage/usage-estimate';

// Jest looks up the global Math anew at every use, which would take most of the time here.
const { cos, exp, floor, log, sqrt } = Math;

export interface SimulatedVehicle {
  readonly record: UsageRecord;
  /** True total at the end of each day from day 0; runs on after the last reading. */
  readonly truth: Float64Array;
}

/**
 * A vehicle whose use is known in full. Its rate is log-normal around 60 km a day, swings with the year
 * (9 to 27 %, the peak scattered by a month around a common one), and wanders (log sd 0.15 a year). Days are
 * gamma-distributed around the rate with a spread of the vehicle's own and two lighter days a week.
 * Readings come at gaps of 3 to 90 days, at some hour of the day, in whole kilometres rounded down.
 */
export function simulateVehicle(
  seed: number,
  { recordDays = 900, aheadDays = 400, wanderPerYear = 0.15, season = 0.18 } = {},
): SimulatedVehicle {
  const random = new SeededRandom(seed);
  const days = recordDays + aheadDays;
  let logRate = log(60) + 0.6 * normal(random);
  const amplitude = season * (0.5 + random.next());
  const startDay = random.integer(0, 364);
  const peakDay = 180 + 30 * normal(random);
  const variability = Math.min(1.2, 0.6 * exp(0.3 * normal(random)));
  const truth = new Float64Array(days);
  const track: MeterPoint[] = [];
  let total = random.integer(0, 150_000);
  let nextReadingDay = random.integer(0, 30);
  for (let day = 0; day < days; day++) {
    logRate += (wanderPerYear / sqrt(365)) * normal(random);
    const swing = 1 + amplitude * cos((2 * Math.PI * (startDay + day - peakDay)) / 365.25);
    const weekly = day % 7 >= 5 ? 0.3 : 1.28;
    const distance = exp(logRate) * swing * weekly * gamma(random, 1 / variability ** 2) * variability ** 2;
    if (day === nextReadingDay && day < recordDays) {
      track.push({ day, total: floor(total + distance * (0.2 + 0.8 * random.next())) });
      nextReadingDay = day + 3 + Math.min(87, floor(-25 * log(1 - random.next())));
    }
    total += distance;
    truth[day] = total;
  }
  return { record: { track }, truth };
}

// Marsaglia and Tsang (2000), A simple method for generating gamma variables; mean = shape, above 1/3
function gamma(random: SeededRandom, shape: number): number {
  const d = shape - 1 / 3;
  const c = 1 / sqrt(9 * d);
  for (;;) {
    const x = normal(random);
    const v = (1 + c * x) ** 3;
    if (v > 0 && log(random.next() + 1e-300) < 0.5 * x * x + d - d * v + d * log(v)) return d * v;
  }
}

// the polar method of Marsaglia and Bray (1964), one of the two values it gives
function normal(random: SeededRandom): number {
  for (;;) {
    const x = 2 * random.next() - 1;
    const y = 2 * random.next() - 1;
    const square = x * x + y * y;
    if (square > 0 && square < 1) return x * sqrt((-2 * log(square)) / square);
  }
}
