import type { EpochDay } from '../shared/calendar-date';
import { studentQuantile } from '../shared/statistics-student';
import type { ChargeSeries, ChargeSums } from './charge-sums';
import type { DecayPosterior } from './decay-posterior';
import { estimateAround, fitLines, type PrechargeEstimate } from './fit-precharge';
import { DAYS_PER_YEAR } from './flag-observations';
import type { PrechargeModel, PrechargeObservation } from './precharge-model';

/** The precharge of the gas on a day, without the error of reading it. */
export interface BandPoint extends PrechargeEstimate {
  readonly day: EpochDay;
}

/**
 * The precharge on each of some days by all that is known today, with its 80 % interval: between the readings of
 * the past as well as after the last one, where it equals `estimateOn`. Each charge has its own line. Days
 * before the first observation are left out.
 *
 * @param observations in any order; those of one day in the order in which they were made
 * @param days in any order; the answer keeps it
 * @returns empty without an observation
 * @throws InputError naming `precharge20BarGauge`
 */
export function outlookBand(
  observations: readonly PrechargeObservation[],
  model: PrechargeModel,
  days: readonly EpochDay[],
): BandPoint[] {
  const lines = fitLines(observations, model);
  if (!lines) return [];
  const { decay, originDay } = lines.fit;
  const t = studentQuantile(0.9, decay.degreesOfFreedom);
  const band: BandPoint[] = [];
  for (const day of days) {
    const charge = lines.charges.findLastIndex(
      (readings) => (readings[0] as PrechargeObservation).day <= day,
    );
    if (charge < 0) continue;
    const state = stateAt(
      lines.series[charge] as ChargeSeries,
      lines.sums[charge] as ChargeSums,
      decay,
      (day - originDay) / DAYS_PER_YEAR,
    );
    band.push({ day, ...estimateAround(state.log, t * decay.scale * Math.sqrt(state.variance)) });
  }
  return band;
}

// Best linear prediction of line and wandering (kriging) from the readings of one charge.
function stateAt(
  series: ChargeSeries,
  sums: ChargeSums,
  decay: DecayPosterior,
  year: number,
): { log: number; variance: number } {
  const { wanderPerYear, loss, lossPrecision } = decay;
  const elapsed = series.years.map((each) => each - sums.firstYear);
  const at = year - sums.firstYear;
  const withDay = elapsed.map((each) => wanderPerYear * Math.min(each, at));
  const weights = solve(
    elapsed.map((one, i) =>
      elapsed.map((other, j) => wanderPerYear * Math.min(one, other) + (i === j ? 1 : 0)),
    ),
    withDay,
  );
  const start = sums.firstLog + sums.meanY - loss * sums.meanX;
  let log = start - loss * at;
  let variance = wanderPerYear * at;
  let ofOne = 1;
  let ofX = -at;
  weights.forEach((weight, i) => {
    const years = elapsed[i] as number;
    log += weight * ((series.logs[i] as number) - start + loss * years);
    variance -= weight * (withDay[i] as number);
    ofOne -= weight;
    ofX += weight * years;
  });
  variance += (ofOne * ofOne) / sums.weight + (ofX - ofOne * sums.meanX) ** 2 / lossPrecision;
  return { log, variance: Math.max(0, variance) };
}

// Gaussian elimination; the matrix is symmetric with eigenvalues of at least one, so that no pivot is small.
function solve(matrix: number[][], right: readonly number[]): number[] {
  const rows = matrix.map((row, i) => [...row, right[i] as number]);
  const size = rows.length;
  for (let i = 0; i < size; i++) {
    const pivotRow = rows[i] as number[];
    for (let r = i + 1; r < size; r++) {
      const row = rows[r] as number[];
      const factor = (row[i] as number) / (pivotRow[i] as number);
      for (let c = i; c <= size; c++) row[c] = (row[c] as number) - factor * (pivotRow[c] as number);
    }
  }
  const solution = new Array<number>(size).fill(0);
  for (let i = size - 1; i >= 0; i--) {
    const row = rows[i] as number[];
    let rest = row[size] as number;
    for (let j = i + 1; j < size; j++) rest -= (row[j] as number) * (solution[j] as number);
    solution[i] = rest / (row[i] as number);
  }
  return solution;
}
